import { growthOf, growthWords } from '../checks/growth.js';
import { metricInfo, metricTitle } from '../checks/metrics.js';
import { dayWords } from '../checks/moments.js';
import { readingStateWords } from '../checks/state-words.js';
import type { StatusFigure, StatusPart, StatusReport } from '../checks/status-report.js';
import { bySubject } from '../checks/subjects.js';
import { formatDuration, formatReading, formatValue } from '../checks/units.js';
import { badInput } from './options.js';

const endingMin = 4;

/** The part that a person means: its id or name, or the last characters of its serial. */
export function partMeant({ groups }: StatusReport, wanted: string): StatusPart {
  const parts = groups.flatMap((group) => group.parts);
  const exact = parts.filter(({ id, name }) => id === wanted || name === wanted);
  const ending = parts.filter(({ id }) => wanted.length >= endingMin && id.endsWith(wanted));
  const found = exact.length > 0 ? exact : ending;
  const [part, another] = found;
  if (part !== undefined && another === undefined) return part;
  const what = part === undefined ? 'no part' : `${found.length} parts`;
  throw badInput(
    `The box has ${what} called "${wanted}"`,
    `Parts are: ${parts.map(({ id }) => id).join(', ')}`,
  );
}

/** Everything that is known of one part: its sentences, then each figure by subject. */
export function renderPart(part: StatusPart): readonly string[] {
  const shown = part.figures.filter(({ metric }) => metric !== 'hour-counter');
  const isDrive = part.kind === 'drive';
  return [
    `${part.name}: ${part.label}${part.name === part.id ? '' : `, serial ${part.id}`}`,
    ...part.sentences.map((sentence) => `  ${sentence}`),
    ...bySubject(shown).flatMap(({ title, figures }) => [
      '',
      title,
      ...figures.map((figure) => `  ${figureLine(figure, isDrive)}`),
    ]),
    ...hourLines(part),
  ];
}

function figureLine(figure: StatusFigure, isDrive: boolean): string {
  const { metric, place, state, text, source, ageMs } = figure;
  const title = isDrive ? metricTitle(metric) : metricInfo(metric).label;
  const name = place === '' ? title : `${title}, ${place}`;
  if (state !== 'measured') {
    const why = text === '' ? '' : `. ${text}`;
    return `${name}: ${readingStateWords[state]}${ageWords(ageMs)}${beforeWords(figure)}${why}.`;
  }
  const growth = growthOf(figure, dayWords);
  const grown = growth === null ? '' : `, ${growthWords(growth)}`;
  return `${name}: ${formatReading(figure)}${grown}${ageWords(ageMs)}. From ${source}.`;
}

function beforeWords({ beforeSleep, unit }: StatusFigure): string {
  if (beforeSleep === undefined) return '';
  const { value, text, ageMs } = beforeSleep;
  return `; before that ${formatReading({ state: 'measured', value, unit, text })}${ageWords(ageMs)}`;
}

function ageWords(ageMs: number | null): string {
  if (ageMs === null) return '';
  return ageMs < 60_000 ? ', just now' : `, ${formatDuration(ageMs / 1000)} ago`;
}

function hourLines({ hourCounters }: StatusPart): readonly string[] {
  if (hourCounters.length < 2) return [];
  return [
    '',
    'Hour counters',
    ...hourCounters.map(
      ({ name, hours, source }) => `  ${name}: ${formatValue(hours, 'hours')}. From ${source}.`,
    ),
  ];
}
