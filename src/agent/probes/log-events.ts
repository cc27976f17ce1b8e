import type { LogRecord } from '../box/layouts/kernel-log.js';
import type { EventFact, LogFact, PartEvent } from './log-fact.js';
import { foldRepeats, withoutRetold } from './log-fold.js';
import { isLinkTrouble, powerPatterns, togetherMs } from './log-pattern.js';
import { type LogPlace, placeOf } from './log-places.js';
import { type LogState, realFacts } from './log-real.js';
import { logFact } from './parse-kernel-log.js';

export interface LogReading {
  readonly records: readonly LogRecord[];
  /** Number of the newest record that was read before in this boot; -1 when none was. */
  readonly afterSequence: number;
  readonly places: readonly LogPlace[];
  /** What remained to be compared with later lines after the reading before. */
  readonly carried: LogCarried;
}

/** What a reading hands to the next one of the same boot. */
export interface LogCarried extends LogState {
  /** The newest troubles of links. */
  readonly troubles: readonly LogFact[];
}

export const nothingCarried: LogCarried = { linked: new Set(), awokeMs: null, troubles: [] };

/** Events from new records, each for one part at most, and what the next reading needs. Pure. */
export function logEvents(reading: LogReading): {
  readonly events: readonly PartEvent[];
  readonly carried: LogCarried;
} {
  const { records, places, carried } = reading;
  const told = records.flatMap((record) => logFact(record) ?? []);
  const { real, state } = realFacts(withoutRetold(told), carried);
  const facts = real.filter((fact) => isOfBox(fact, places));
  const troubles = [...carried.troubles, ...facts.filter(isLinkTrouble)];
  const newest = troubles.at(-1)?.monoMs ?? 0;
  return {
    events: [
      ...gaps(reading),
      ...foldRepeats(facts.map((fact) => eventOf(fact, places))),
      ...powerPatterns(troubles, places),
    ],
    carried: {
      ...state,
      troubles: troubles.filter(({ monoMs }) => newest - monoMs <= togetherMs),
    },
  };
}

/**
 * A keyboard that is pulled out and a request to a volume that lies on a failing drive are no
 * events of their own. A drive that is not known, because it was gone before it could be looked
 * at, is one, and so is a file system that fails, whatever it lies on.
 */
function isOfBox({ kind, subject: { by, name } }: LogFact, places: readonly LogPlace[]): boolean {
  if (placeOf({ by, name }, places) !== null) return true;
  if (alwaysKept.includes(kind)) return true;
  if (by === 'block-name') return /^(sd[a-z]+|nvme\d+n\d+|vd[a-z]+)$/.test(name);
  return by !== 'usb-port' && by !== 'pci' && by !== 'scsi-host';
}

const alwaysKept: readonly LogFact['kind'][] = [
  'file-system-error',
  'file-system-stopped',
  'controller-reset',
  'controller-gone',
  'write-lost',
];

/** Records that the kernel overwrote before they were read, before the first one or between two. */
function gaps({ records, afterSequence }: LogReading): readonly PartEvent[] {
  return records.flatMap(({ sequence, monoMs }, index) => {
    const before = index === 0 ? afterSequence : (records[index - 1]?.sequence ?? sequence);
    const lost = sequence - before - 1;
    if (lost <= 0) return [];
    const words = lost === 1 ? '1 line' : `${lost} lines`;
    const were = lost === 1 ? 'was' : 'were';
    const text = `${words} of the kernel’s log ${were} overwritten before they could be read`;
    const key = `log:${sequence}:gap`;
    const event = { kind: 'log-gap', key, monoMs, text, record: '', positionBytes: null } as const;
    return [{ identityKey: null, event }];
  });
}

function eventOf(fact: EventFact, places: readonly LogPlace[]): PartEvent {
  const { kind, sequence, monoMs, text, record, position } = fact;
  const place = placeOf(fact.subject, places);
  const unit = position?.unit === 'blocks' ? (place?.logicalBlockBytes ?? null) : 512;
  const positionBytes = position === null || unit === null ? null : position.number * unit;
  const key = `log:${sequence}`;
  return {
    identityKey: place?.identityKey ?? null,
    event: { kind, key, monoMs, positionBytes, text, record },
  };
}
