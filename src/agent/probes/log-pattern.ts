import type { LogFact, PartEvent } from './log-fact.js';
import { type LogPlace, placeOf } from './log-places.js';

/** Several drives in trouble within this time share a cause before them: most often power. */
export const togetherMs = 2_000;

/** A drive whose power dips is reset, loses its link or is given up. */
export function isLinkTrouble({ kind, subject }: LogFact): boolean {
  if (kind === 'drive-reset') return subject.by === 'scsi-address';
  const isLink = kind === 'link-reset' || kind === 'link-lost' || kind === 'drive-gone';
  return isLink && subject.by !== 'block-name' && subject.by !== 'pci';
}

/** One event for each part of a group of drives that were in trouble together. Pure. */
export function powerPatterns(
  troubles: readonly LogFact[],
  places: readonly LogPlace[],
): readonly PartEvent[] {
  const events: PartEvent[] = [];
  for (let index = 0; index < troubles.length; ) {
    const group = groupAt(troubles, index);
    const own = new Map(group.map((fact) => [partKey(fact, places), fact]));
    if (own.size >= 2) {
      const others = own.size - 1;
      events.push(...[...own.values()].map((fact) => patternOf(fact, { group, others, places })));
    }
    index += own.size >= 2 ? group.length : 1;
  }
  return events;
}

/** A drive that is told of by two of its names is one. */
function partKey({ subject }: LogFact, places: readonly LogPlace[]): string {
  return placeOf(subject, places)?.identityKey ?? `${subject.by} ${subject.name}`;
}

function groupAt(troubles: readonly LogFact[], index: number): readonly LogFact[] {
  const start = troubles[index]?.monoMs ?? 0;
  return troubles.slice(index).filter(({ monoMs }) => monoMs - start <= togetherMs);
}

interface Together {
  readonly group: readonly LogFact[];
  readonly others: number;
  readonly places: readonly LogPlace[];
}

function patternOf(fact: LogFact, { group, others, places }: Together): PartEvent {
  const first = group[0] ?? fact;
  return {
    identityKey: placeOf(fact.subject, places)?.identityKey ?? null,
    event: {
      kind: 'power-pattern',
      key: `log:${first.sequence}:power:${fact.subject.name}`,
      monoMs: first.monoMs,
      positionBytes: null,
      text: `Its link was in trouble within 2 s together with ${others} other: what they share, such as a power lead, comes first`,
      record: group
        .map(({ record }) => record)
        .join('\n')
        .slice(0, 1000),
    },
  };
}
