import { lowerFirst } from './letters.js';
import { absentClause } from './link-words.js';
import { metricInfo } from './metrics.js';
import type { SeenFigure } from './seen-figure.js';
import { formatValue } from './units.js';

type Latest = readonly SeenFigure[];

/** Every figure that was told, by its place or its metric; limits stand beside no figure here. */
export function sensorsInFull(latest: Latest): readonly string[] {
  return told(latest).map((reading) => {
    const name =
      reading.place === '' ? lowerFirst(metricInfo(reading.metric).label) : reading.place;
    if (reading.unit === 'code' && reading.text !== '') return `${name}: ${reading.text}`;
    const note = reading.text === '' ? '' : ` (${reading.text})`;
    return `${name} ${formatValue(reading.value, reading.unit)}${note}`;
  });
}

const shownInShort = 6;

/** The first of them and how many more there are; without any, why. Pure; never throws. */
export function sensorsInShort(latest: Latest): readonly string[] {
  const all = sensorsInFull(latest);
  if (all.length === 0) {
    const metrics = [...new Set(latest.map(({ metric }) => metric))].slice(0, 2);
    return metrics.flatMap((metric) => absentClause(latest, metric) ?? []);
  }
  const more = all.length - shownInShort;
  return more > 0 ? [...all.slice(0, shownInShort), `${more} more`] : all;
}

function told(latest: Latest): Latest {
  return latest.filter(({ value, metric }) => value !== null && !metric.endsWith('-limit'));
}
