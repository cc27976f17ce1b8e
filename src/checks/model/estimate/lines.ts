import { formatBytesPerSecond } from '../../units.js';
import { arrayLines } from './array-lines.js';
import { figureWords } from './figure-words.js';
import type { Gain } from './gains.js';
import { pathWords } from './path-words.js';
import { costLine, powerLines } from './power-lines.js';
import { indented, section } from './section.js';
import { shownPaths } from './shown-paths.js';
import type { EstimateTold } from './tell-estimate.js';
import type { PathEstimate } from './types.js';
import { limitLines, wayLines } from './way-lines.js';

/** An estimate as lines for a terminal: arrays, paths, gains, power, cost, what is assumed. */
export function estimateLines({ found, way, gains, enough }: EstimateTold): readonly string[] {
  return [
    ...(found.name === null ? [] : [found.name, '']),
    ...found.arrays.flatMap((array) => [...arrayLines(array), '']),
    'The way of the data, with what each part lets through',
    ...wayLines(way).map(indented),
    ...limitLines(way).map((line) => indented(`limit: ${line}`)),
    ...section('What each path carries', shownPaths(found).map(pathLine)),
    ...section('What a better part would buy', gains.map(gainWords)),
    ...section(
      'Enough for this build',
      enough.map(({ text }) => text),
    ),
    '',
    ...powerLines(found.power, found.cost.currency),
    '',
    costLine(found.cost),
    ...section(
      'To mind',
      found.warnings.map(({ text }) => text),
    ),
    ...section('Taken for granted', found.assumed),
  ];
}

/** One path: its rate, the part that limits it and why, and what a better part would gain. */
export function pathLine(path: PathEstimate): string {
  const { stages, limit, headroom } = path;
  const title = pathWords(path);
  if (limit === null) return `${title}: no figure, the model does not tell enough`;
  const why = stages.find(({ part }) => part === limit.part)?.why ?? '';
  return (
    `${title}: ${formatBytesPerSecond(limit.bytesPerSecond)}, by ${limit.part} (${why})` +
    headroomWords(headroom)
  );
}

function headroomWords(headroom: number | null): string {
  if (headroom === null) return '';
  return headroom <= 0
    ? '; the next part allows no more'
    : `; the next part allows ${formatBytesPerSecond(headroom)} more`;
}

/** "disk-card in slot-long (…) instead of slot-short: recordings rebuilds in 32 h → 21 h". */
export function gainWords({ change, free, effects }: Gain): string {
  const words = effects.map(
    ({ words: figure, unit, from, to }) =>
      `${figure} ${figureWords(to, unit)} instead of ${figureWords(from, unit)}`,
  );
  return `${change}${free ? ' (nothing to buy)' : ''}: ${words.join('; ')}`;
}
