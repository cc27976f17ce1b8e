import type { KeptFigure } from './array-words.js';
import { formatValue } from './units.js';

/**
 * The module in a network card's plug in clauses, lower case where they begin with a plain word,
 * from the card's newest readings: what it is, its warmth, its light. Units as in the readings.
 * Empty where no module was read; the reason stands with the reading. Never throws.
 */
export function moduleClauses(latest: readonly KeptFigure[]): readonly string[] {
  const module = latest.find(({ metric }) => metric === 'network-module');
  if (module === undefined || module.value === null) return [];
  return [
    `module in its plug: ${module.text}`,
    ...warmth(latest),
    ...signal(latest),
    ...light(latest),
  ];
}

function warmth(latest: readonly KeptFigure[]): readonly string[] {
  const now = at(latest, 'temperature', 'module');
  const limit = at(latest, 'temperature-limit', 'module');
  if (now === null) return [];
  const words = `the module is at ${formatValue(now, 'celsius')}`;
  return [limit === null ? words : `${words}, its limit is ${formatValue(limit, 'celsius')}`];
}

/** Named only when light is missing: that it comes in says nothing of whether it is enough. */
function signal(latest: readonly KeptFigure[]): readonly string[] {
  return latest
    .filter(({ metric, value }) => metric === 'optical-signal' && value === 0)
    .map(({ text, place }) => `${text}${place.replace(/^light received/, '')}`);
}

/** Light by lane, with the module's own limits beside it. */
function light(latest: readonly KeptFigure[]): readonly string[] {
  return latest.flatMap(({ metric, place, value }) => {
    if (metric !== 'optical-power' || value === null || !/^light (sent|received)/.test(place)) {
      return [];
    }
    const way = place.split(',')[0] ?? place;
    return [`${place} ${formatValue(value, 'microwatts')}${limitWords(latest, way)}`];
  });
}

function limitWords(latest: readonly KeptFigure[], way: string): string {
  const lowest = at(latest, 'optical-power-limit', `${way}, lowest`);
  const highest = at(latest, 'optical-power-limit', `${way}, highest`);
  if (lowest === null || highest === null) return '';
  return ` (it warns below ${formatValue(lowest, 'microwatts')} and above ${formatValue(highest, 'microwatts')})`;
}

function at(latest: readonly KeptFigure[], metric: string, place: string): number | null {
  return latest.find((one) => one.metric === metric && one.place === place)?.value ?? null;
}
