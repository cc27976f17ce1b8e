import { lowerFirst } from './letters.js';
import { metricInfo } from './metrics.js';
import { mainFigure, type SeenFigure } from './seen-figure.js';
import { readingStateWords } from './state-words.js';
import { formatValue } from './units.js';

type Latest = readonly SeenFigure[];

/**
 * How fast a link runs and what both of its ends can do: "SATA link at 3 Gb/s, where both ends can
 * do 6 Gb/s". `metric` is its speed; what is possible is told by the metric of that name with
 * "-possible" behind. Null where the speed was not told. Pure; never throws.
 */
export function linkClause(latest: Latest, metric: string, name: string): string | null {
  const now = mainFigure(latest, metric);
  if (now === null) return null;
  const words = `${name} at ${formatValue(now.value, now.unit)}`;
  const possible = mainFigure(latest, `${metric}-possible`);
  const note = now.text === '' ? '' : ` (${now.text})`;
  if (possible?.value == null || now.value === null) return `${words}${note}`;
  return now.value >= possible.value
    ? `${words}, all that both ends can do${note}`
    : `${words}, where both ends can do ${formatValue(possible.value, possible.unit)}${note}`;
}

/** The same of a PCI link, by its speed and its lanes. Pure; never throws. */
export function pciClause(latest: Latest): string | null {
  const speed = mainFigure(latest, 'pci-link-speed');
  const lanes = mainFigure(latest, 'pci-link-lanes');
  if (speed === null || lanes === null) return null;
  const words = `PCI link at ${pciWords(speed, lanes)}`;
  const speedMax = mainFigure(latest, 'pci-link-speed-possible');
  const lanesMax = mainFigure(latest, 'pci-link-lanes-possible');
  if (speedMax?.value == null || lanesMax?.value == null) return words;
  const isFull = (speed.value ?? 0) >= speedMax.value && (lanes.value ?? 0) >= lanesMax.value;
  return isFull
    ? `${words}, all that both ends can do`
    : `${words}, where both ends can do ${pciWords(speedMax, lanesMax)}`;
}

function pciWords(speed: SeenFigure, lanes: SeenFigure): string {
  return `${formatValue(speed.value, speed.unit)} over ${formatValue(lanes.value, lanes.unit)}`;
}

/** Why a figure was not told: "network link rate: no figure, it has no plug". Pure. */
export function absentClause(latest: Latest, metric: string): string | null {
  const found = latest.find((one) => one.metric === metric && one.value === null);
  if (found === undefined) return null;
  const why = found.text === '' ? '' : `, ${lowerFirst(found.text)}`;
  return `${lowerFirst(metricInfo(metric).label)}: ${readingStateWords[found.state]}${why}`;
}
