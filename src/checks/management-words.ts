import type { KeptFigure } from './array-words.js';
import { formatDuration, formatValue } from './units.js';

/** Kinds of figures of a board's controller, each told together. */
const kinds: readonly (readonly [string, readonly string[]])[] = [
  ['Temperatures', ['temperature']],
  ['Fans', ['fan-speed', 'fan-drive']],
  ['Power supplies', ['supply-state']],
  ['Power drawn', ['power-draw']],
  ['Voltages', ['voltage']],
  ['Currents', ['electric-current']],
  ['Other states', ['sensor-state']],
];

/**
 * What a board's controller tells, in clauses: first what is in trouble by its own word,
 * then its figures by kind, its log and its clock. They call nothing good. Pure; never throws.
 */
export function managementInFull(latest: readonly KeptFigure[]): readonly string[] {
  return [
    ...managementTroubles(latest),
    ...kinds.flatMap(([title, metrics]) => {
      const told = latest.filter((one) => metrics.includes(one.metric) && isCalm(one));
      const words = told.map((one) => figureWords(one, latest));
      return words.length === 0 ? [] : [`${title}: ${words.join(', ')}`];
    }),
    ...logClauses(latest),
  ];
}

/** The same for a line of a page: troubles, how many sensors it reads, its log and its clock. */
export function managementInShort(latest: readonly KeptFigure[]): readonly string[] {
  const sensors = latest.filter((one) => one.value !== null && one.place !== '' && !isLimit(one));
  return [
    ...managementTroubles(latest),
    `${sensors.length} of its sensors read`,
    ...logClauses(latest),
  ];
}

/** Figures past a limit by the controller's own word, and supplies that fail; no full stop. */
export function managementTroubles(latest: readonly KeptFigure[]): readonly string[] {
  return latest
    .filter((one) => one.value !== null && one.place !== '' && !isLimit(one) && !isCalm(one))
    .map((one) => {
      const limit = limitOf(one, latest);
      const [words, behind] =
        one.unit === 'code'
          ? [`${one.place}: ${one.text}`, '']
          : [
              `${one.place} ${formatValue(one.value, one.unit)}, ${one.text}`,
              limit === null ? '' : `; its limit is ${formatValue(limit, one.unit)}`,
            ];
      return `${words}${behind}`;
    });
}

/** How full its log is, and how far its clock is off; lower case, no full stop. */
function logClauses(latest: readonly KeptFigure[]): readonly string[] {
  const value = (metric: string) => latest.find((one) => one.metric === metric)?.value ?? null;
  const [used, entries] = [value('controller-log-used'), value('controller-log-entries')];
  const clock = latest.find(({ metric }) => metric === 'controller-clock-ahead');
  const full = used === null ? null : `its log is ${formatValue(used, 'percent')} full`;
  const count = entries === null ? null : entriesWords(entries);
  const log = [full, count].filter((one) => one !== null).join(', with ');
  return [
    ...(log === '' ? [] : [full === null ? `its log holds ${log}` : log]),
    ...(clock === undefined || clock.value === null ? [] : [`its clock is ${clock.text}`]),
  ];
}

function entriesWords(entries: number): string {
  if (entries === 0) return 'no entry';
  return `${formatValue(entries, 'count')} ${entries === 1 ? 'entry' : 'entries'}`;
}

/** "3 d 2 h behind the box’s": a clock within two minutes counts as right. */
export function clockWords(minutesAhead: number): string {
  if (Math.abs(minutesAhead) <= 2) return 'as the box’s';
  const span = formatDuration(Math.abs(minutesAhead) * 60);
  return `${span} ${minutesAhead > 0 ? 'ahead of' : 'behind'} the box’s`;
}

/** Bits of a supply's states that tell of a fault: all but "present" and "stands by". */
const supplyFaultBits = 0b0111_1110;

function isCalm(one: KeptFigure): boolean {
  if (one.value === null || one.place === '' || isLimit(one)) return false;
  if (one.metric === 'supply-state') return (one.value & supplyFaultBits) === 0;
  return one.unit === 'code' || one.text === '';
}

function isLimit({ metric }: KeptFigure): boolean {
  return metric.endsWith('-limit');
}

function limitOf({ metric, place }: KeptFigure, latest: readonly KeptFigure[]): number | null {
  const found = latest.find((one) => one.metric === `${metric}-limit` && one.place === place);
  return found?.value ?? null;
}

function figureWords(one: KeptFigure, latest: readonly KeptFigure[]): string {
  if (one.unit === 'code') return `${one.place} (${one.text})`;
  const limit = limitOf(one, latest);
  const words = `${one.place} ${formatValue(one.value, one.unit)}`;
  return limit === null ? words : `${words} (limit ${formatValue(limit, one.unit)})`;
}
