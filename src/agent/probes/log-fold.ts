import type { LogFact, PartEvent } from './log-fact.js';

/** Our choice: the same trouble again within a minute is one event with a count. */
const foldedMs = 60_000;
/** Our choice: of one kind at one part a reading keeps this many, then how many more there were. */
const ofKindMax = 20;

interface Group {
  readonly first: PartEvent;
  lastMs: number;
  count: number;
}

/**
 * A place that cannot be read is tried six times, a link that shakes is reset for minutes: the
 * same event again becomes a count of the first one, whose line is kept. Pure.
 */
export function foldRepeats(events: readonly PartEvent[]): readonly PartEvent[] {
  const groups: Group[] = [];
  const open = new Map<string, Group>();
  for (const one of events) {
    const key = keyOf(one);
    const group = open.get(key);
    if (group !== undefined && one.event.monoMs - group.first.event.monoMs <= foldedMs) {
      group.lastMs = one.event.monoMs;
      group.count += 1;
    } else {
      const started = { first: one, lastMs: one.event.monoMs, count: 1 };
      groups.push(started);
      open.set(key, started);
    }
  }
  return atMost(groups.map(counted));
}

function counted({ first, lastMs, count }: Group): PartEvent {
  if (count === 1) return first;
  const seconds = Math.max(1, Math.ceil((lastMs - first.event.monoMs) / 1000));
  return withText(first, `${first.event.text}, ${count} times within ${seconds} s`);
}

function withText({ identityKey, event }: PartEvent, text: string): PartEvent {
  return { identityKey, event: { ...event, text } };
}

/** Two layers of the kernel tell of one place in words of their own. */
function keyOf({ identityKey, event: { kind, positionBytes, text } }: PartEvent): string {
  return [identityKey, kind, positionBytes ?? text].join(' ');
}

/** A drive that fails in a thousand places at once must not fill the store. */
function atMost(events: readonly PartEvent[]): readonly PartEvent[] {
  const ofKind = new Map<string, number>();
  const kept: PartEvent[] = [];
  const left = new Map<string, { last: PartEvent; count: number }>();
  for (const one of events) {
    const key = `${one.identityKey} ${one.event.kind}`;
    const count = (ofKind.get(key) ?? 0) + 1;
    ofKind.set(key, count);
    if (count <= ofKindMax) kept.push(one);
    else left.set(key, { last: one, count: count - ofKindMax });
  }
  const more = [...left.values()].map(({ last, count }) => {
    return count === 1 ? last : withText(last, `${last.event.text}, the last of ${count} more`);
  });
  return [...kept, ...more];
}

/**
 * Facts without those that the next or an earlier line tells better: a forecast of failure comes
 * in the form of a corrected error, and a place that cannot be read is named first with its
 * position and then without. Pure.
 */
export function withoutRetold(facts: readonly LogFact[]): readonly LogFact[] {
  return facts.filter((fact, index) => {
    const near = facts.slice(Math.max(0, index - linesBack), index);
    return !isForecast(fact, facts[index + 1]) && !near.some((one) => tellsBetter(one, fact));
  });
}

const linesBack = 10;

function isForecast(fact: LogFact, next: LogFact | undefined): boolean {
  return (
    fact.kind === 'recovered-error' &&
    (next?.kind === 'failure-predicted' || next?.kind === 'drive-too-warm') &&
    next.subject.name === fact.subject.name &&
    next.sequence === fact.sequence + 1
  );
}

function tellsBetter(earlier: LogFact, fact: LogFact): boolean {
  return (
    fact.kind === 'medium-error' &&
    fact.position === null &&
    earlier.kind === 'medium-error' &&
    earlier.position !== null &&
    earlier.subject.name === fact.subject.name &&
    fact.sequence - earlier.sequence <= linesBack
  );
}
