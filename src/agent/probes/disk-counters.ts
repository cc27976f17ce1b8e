import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';

/** Requests of one disk since the kernel found it. Sectors count 512 bytes whatever the drive's. */
export interface DiskCounters {
  readonly reads: number;
  readonly sectorsRead: number;
  readonly writes: number;
  readonly sectorsWritten: number;
  /** Requests that are open at this moment. */
  readonly underWay: number;
  /** Milliseconds in which a request was open; 32 bits wide, so it wraps after 49.7 days. */
  readonly busyMs: number;
  readonly flushes: number;
  readonly discards: number;
  /** Another one means another disk behind the same name: nothing may be compared then. */
  readonly diskSequence: string | null;
}

/**
 * A line of /sys/block/X/stat: 11, 15 or 17 numbers by kernel age. Source: Linux
 * Documentation/admin-guide/iostats.rst. Null for anything else.
 */
export function parseDiskStat(text: string): DiskCounters | null {
  const fields = text.trim().split(/\s+/).map(Number);
  if (fields.length < 11 || !fields.every((field) => Number.isSafeInteger(field) && field >= 0)) {
    return null;
  }
  const at = (index: number) => fields[index] ?? 0;
  return {
    reads: at(0),
    sectorsRead: at(2),
    writes: at(4),
    sectorsWritten: at(6),
    underWay: at(8),
    busyMs: at(9),
    discards: at(11),
    flushes: at(15),
    diskSequence: null,
  };
}

/** Whether requests reached the disk between two looks; false where that cannot be told. */
export function requestsBetween(first: DiskCounters | null, last: DiskCounters | null): boolean {
  if (first === null || last === null || !isSameDisk(first, last)) return false;
  return requestsIn(last) > requestsIn(first);
}

/** Requests that ended since the kernel found the disk. */
export function requestsIn({ reads, writes, discards, flushes }: DiskCounters): number {
  return reads + writes + discards + flushes;
}

const source = 'Kernel file stat';
const figures = {
  read: { metric: 'read-rate', unit: 'bytes-per-second', source },
  write: { metric: 'write-rate', unit: 'bytes-per-second', source },
  busy: { metric: 'busy-share', unit: 'percent', source },
} as const satisfies Readonly<Record<string, Figure>>;

/** Read rate, write rate and busy share between two looks that lie `seconds` apart. */
export function ratesBetween(
  first: DiskCounters | null,
  last: DiskCounters | null,
  seconds: number,
): readonly Reading[] {
  const why = whyNoRates(first, last, seconds);
  if (why !== null || first === null || last === null) {
    return Object.values(figures).map((figure) => absent(figure, 'no-figure', why ?? unreadable));
  }
  const busyMs = wrappingDifference(first.busyMs, last.busyMs);
  return [
    measured(figures.read, ((last.sectorsRead - first.sectorsRead) * 512) / seconds),
    measured(figures.write, ((last.sectorsWritten - first.sectorsWritten) * 512) / seconds),
    measured(figures.busy, Math.min(100, busyMs / (seconds * 10))),
  ];
}

const unreadable = 'The kernel’s counters of this disk could not be read';

function whyNoRates(
  first: DiskCounters | null,
  last: DiskCounters | null,
  seconds: number,
): string | null {
  if (first === null || last === null) return unreadable;
  if (!(seconds > 0)) return 'No time lies between the two looks at the counters';
  return isSameDisk(first, last) ? null : 'The counters started again between the two looks';
}

/** Counters that fell belong to a disk that was taken out and put in again. */
function isSameDisk(first: DiskCounters, last: DiskCounters): boolean {
  if (first.diskSequence !== last.diskSequence) return false;
  return (
    last.reads >= first.reads &&
    last.writes >= first.writes &&
    last.sectorsRead >= first.sectorsRead &&
    last.sectorsWritten >= first.sectorsWritten
  );
}

/** Milliseconds between two values of a counter of 32 bits that may have wrapped once. */
export function wrappingDifference(first: number, last: number): number {
  return last >= first ? last - first : last + 2 ** 32 - first;
}
