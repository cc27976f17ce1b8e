import type { BoxEvent } from '../../checks/event.js';
import type { LogRecord } from '../box/layouts/kernel-log.js';
import { type LogPlace, placeOf } from './log-places.js';
import { type LogFact, logFact } from './parse-kernel-log.js';

/** Several ports in trouble within this time share a cause before them: most often power. */
const togetherMs = 2_000;

export interface PartEvent {
  readonly identityKey: string | null;
  readonly event: BoxEvent;
}

export interface LogReading {
  readonly records: readonly LogRecord[];
  /** Number of the newest record that was read before in this boot; -1 when none was. */
  readonly afterSequence: number;
  readonly places: readonly LogPlace[];
  /** What remained to be compared with later lines after the reading before. */
  readonly carried: LogCarried;
}

/** What a reading hands to the next one of the same boot. */
export interface LogCarried {
  /** Ports that had a link. An empty port is told as "down" at boot, which is no loss. */
  readonly linked: ReadonlySet<string>;
  /** The newest troubles of links. */
  readonly troubles: readonly LogFact[];
}

export const nothingCarried: LogCarried = { linked: new Set(), troubles: [] };

/** Events from new records, each for one part at most, and what the next reading needs. Pure. */
export function logEvents(reading: LogReading): {
  readonly events: readonly PartEvent[];
  readonly carried: LogCarried;
} {
  const linked = new Set(reading.carried.linked);
  const facts = reading.records.flatMap((record) => realFact(logFact(record), linked));
  const troubles = [...reading.carried.troubles, ...facts.filter(isLinkTrouble)];
  const ofBox = troubles.filter((fact) => isOfBox(fact, reading.places));
  const newest = troubles.at(-1)?.monoMs ?? 0;
  return {
    events: [
      ...gap(reading),
      ...facts
        .filter((fact) => isOfBox(fact, reading.places))
        .map((fact) => eventOf(fact, reading.places)),
      ...powerPatterns(ofBox, reading.places),
    ],
    carried: { linked, troubles: troubles.filter(({ monoMs }) => newest - monoMs <= togetherMs) },
  };
}

function realFact(fact: LogFact | null, linked: Set<string>): readonly LogFact[] {
  if (fact === null) return [];
  const { kind, subject } = fact;
  if (kind === 'link-up') {
    linked.add(subject.name);
    return [];
  }
  const isSataLoss = kind === 'link-lost' && subject.by === 'ata-port';
  if (isSataLoss && !linked.delete(subject.name)) return [];
  return [fact];
}

/**
 * A keyboard that is pulled out and a volume that lies on a failing drive are no events of their
 * own. A drive that is not known, because it was gone before it could be looked at, is one.
 */
function isOfBox({ subject: { by, name } }: LogFact, places: readonly LogPlace[]): boolean {
  if (placeOf({ by, name }, places) !== null) return true;
  if (by === 'block-name') return /^(sd[a-z]+|nvme\d+n\d+|vd[a-z]+)$/.test(name);
  return by !== 'usb-port' && by !== 'pci';
}

function isLinkTrouble({ kind, subject }: LogFact): boolean {
  const isLink = kind === 'link-reset' || kind === 'link-lost' || kind === 'drive-gone';
  return isLink && subject.by !== 'block-name' && subject.by !== 'scsi-address';
}

/** Records that the kernel overwrote before they were read. */
function gap({ records, afterSequence }: LogReading): readonly PartEvent[] {
  const [first] = records;
  if (first === undefined || first.sequence <= afterSequence + 1) return [];
  const lost = first.sequence - afterSequence - 1;
  const text = `${lost} lines of the kernel’s log were overwritten before they could be read`;
  const key = `log:${first.sequence}:gap`;
  const event = { kind: 'log-gap', key, monoMs: first.monoMs, text, record: '' } as const;
  return [{ identityKey: null, event: { ...event, positionBytes: null } }];
}

function eventOf(fact: LogFact, places: readonly LogPlace[]): PartEvent {
  const { kind, sequence, monoMs, text, record, position } = fact;
  const place = placeOf(fact.subject, places);
  const unit = position?.unit === 'blocks' ? (place?.logicalBlockBytes ?? null) : 512;
  const positionBytes = position === null || unit === null ? null : position.number * unit;
  const event: BoxEvent = {
    kind: kind === 'link-up' ? 'link-reset' : kind,
    key: `log:${sequence}`,
    monoMs,
    positionBytes,
    text,
    record,
  };
  return { identityKey: place?.identityKey ?? null, event };
}

/** One event for each part of a group of ports that were in trouble together. */
function powerPatterns(
  troubles: readonly LogFact[],
  places: readonly LogPlace[],
): readonly PartEvent[] {
  const events: PartEvent[] = [];
  for (let index = 0; index < troubles.length; ) {
    const group = groupAt(troubles, index);
    const ports = new Map(group.map((fact) => [fact.subject.name, fact]));
    if (ports.size >= 2) {
      events.push(...[...ports.values()].map((fact) => patternOf(fact, { group, ports, places })));
    }
    index += ports.size >= 2 ? group.length : 1;
  }
  return events;
}

function groupAt(troubles: readonly LogFact[], index: number): readonly LogFact[] {
  const start = troubles[index]?.monoMs ?? 0;
  return troubles.slice(index).filter(({ monoMs }) => monoMs - start <= togetherMs);
}

function patternOf(
  fact: LogFact,
  together: {
    readonly group: readonly LogFact[];
    readonly ports: ReadonlyMap<string, LogFact>;
    readonly places: readonly LogPlace[];
  },
): PartEvent {
  const first = together.group[0] ?? fact;
  const text = `Its link was in trouble within 2 s together with ${together.ports.size - 1} other: what they share, such as a power lead, comes first`;
  return {
    identityKey: placeOf(fact.subject, together.places)?.identityKey ?? null,
    event: {
      kind: 'power-pattern',
      key: `log:${first.sequence}:power:${fact.subject.name}`,
      monoMs: first.monoMs,
      positionBytes: null,
      text,
      record: together.group
        .map(({ record }) => record)
        .join('\n')
        .slice(0, 1000),
    },
  };
}
