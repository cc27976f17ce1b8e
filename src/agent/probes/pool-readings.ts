import { arrayWorks, mayFailWithProfile, memberStates } from '../../checks/array-state.js';
import { metricInfo } from '../../checks/metrics.js';
import { btrfsProtectionWords } from '../../checks/protection-words.js';
import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import { type DeviceErrors, parseDeviceErrors, parsePoolState } from './parse-arrays.js';

/** Kernel files of one mounted btrfs file system. */
export interface BtrfsFiles {
  /** What it does to the whole of itself; the file is there since Linux 5.10. */
  readonly exclusiveOperation: string | null;
  /** Profiles of its data and its metadata, such as "raid1". */
  readonly profiles: { readonly data: readonly string[]; readonly metadata: readonly string[] };
  readonly devices: readonly BtrfsDeviceFiles[];
}

export interface BtrfsDeviceFiles {
  /** A name that lasts: the drive when it is the only one, else its number in the file system. */
  readonly name: string;
  readonly errorStats: string | null;
  readonly missing: string | null;
}

/** Source: Linux fs/btrfs/sysfs.c btrfs_exclusive_operation_show. */
const operations: Readonly<Record<string, (typeof arrayWorks)[number]['word']>> = {
  none: 'idle',
  balance: 'balance',
  'balance paused': 'idle',
  'device add': 'reshape',
  'device remove': 'reshape',
  'device replace': 'recover',
  resize: 'reshape',
  'swap activate': 'idle',
};

export function btrfsReadings(files: BtrfsFiles): readonly Reading[] {
  const told = files.devices.filter(({ missing }) => missing !== null);
  const gone = told.filter(({ missing }) => missing === '1').length;
  const isClear = told.every(({ missing }) => missing === '0' || missing === '1');
  const counted = told.length > 0 && isClear ? gone : null;
  return [
    protection(files),
    missingReading(counted),
    mayStillFail(files, counted),
    workReading(files),
    notFromKernel('array-last-check', 'when its copies were last compared'),
    ...files.devices.flatMap(deviceReadings),
  ];
}

function missingReading(count: number | null): Reading {
  const figure: Figure = {
    metric: 'array-members-missing',
    unit: 'count',
    source: 'Kernel files devinfo, missing',
  };
  return count === null
    ? absent(figure, 'no-figure', 'The kernel does not tell which of its drives are missing')
    : measured(figure, count);
}

/** The least of what its data and its metadata bear; null where a profile is not known. */
function mayFailWhenWhole({ profiles }: BtrfsFiles): number | null {
  const may = [...profiles.data, ...profiles.metadata].map(mayFailWithProfile);
  const known = may.filter((one) => one !== null);
  return known.length === 0 || known.length < may.length ? null : Math.min(...known);
}

function protection(files: BtrfsFiles): Reading {
  const figure: Figure = {
    metric: 'array-protection',
    unit: 'count',
    source: 'Kernel folders allocation, by profile',
  };
  const may = mayFailWhenWhole(files);
  return may === null
    ? absent(figure, 'no-figure', 'The profiles of its data and metadata are not told')
    : measured(figure, may, btrfsProtectionWords(files.profiles, may));
}

function mayStillFail(files: BtrfsFiles, missing: number | null): Reading {
  const figure: Figure = {
    metric: 'array-may-still-fail',
    unit: 'count',
    source: 'Kernel folders allocation, by profile, and devinfo, missing',
  };
  const may = mayFailWhenWhole(files);
  if (missing === null || may === null) {
    return absent(figure, 'no-figure', 'Its profiles or its missing drives are not told');
  }
  return measured(figure, Math.max(0, may - missing));
}

/** What only the file system's own program tells; none is run here. */
function notFromKernel(metric: string, what: string): Reading {
  const { unit } = metricInfo(metric);
  const why = `The kernel’s files do not tell ${what}`;
  return absent({ metric, unit, source: 'No kernel file' }, 'no-figure', why);
}

function workReading({ exclusiveOperation }: BtrfsFiles): Reading {
  const figure: Figure = {
    metric: 'array-work',
    unit: 'code',
    source: 'Kernel file exclusive_operation; it does not tell of a comparison of copies',
  };
  const word = operations[exclusiveOperation ?? ''];
  const work = arrayWorks.find((one) => one.word === word);
  if (work !== undefined) return measured(figure, work.code, exclusiveText(exclusiveOperation));
  const why = 'The kernel does not tell what the file system does to itself';
  return absent(figure, 'no-figure', why);
}

function exclusiveText(operation: string | null): string {
  return operation === null || operation === 'none' ? 'nothing' : operation;
}

const errorMetrics: readonly (readonly [string, keyof DeviceErrors])[] = [
  ['array-write-errors', 'writes'],
  ['array-read-errors', 'reads'],
  ['array-flush-errors', 'flushes'],
  ['array-damaged-blocks', 'damagedBlocks'],
  ['array-stale-blocks', 'staleBlocks'],
];

/** The counters stay over boots until somebody clears them. */
function deviceReadings({ name, errorStats, missing }: BtrfsDeviceFiles): readonly Reading[] {
  const place = { place: name, source: 'Kernel file error_stats of the device' };
  const state: Figure = {
    metric: 'array-member-state',
    unit: 'code',
    place: name,
    source: 'Kernel file missing of the device',
  };
  const stats = parseDeviceErrors(errorStats);
  const there =
    missing === '1'
      ? [measured(state, memberStates.missing, 'missing')]
      : missing === '0'
        ? [measured(state, memberStates.inStep, 'there')]
        : [];
  const counters = errorMetrics.map(([metric, key]): Reading => {
    const figure: Figure = { metric, unit: 'count', ...place };
    return stats === null
      ? absent(figure, 'no-figure', 'The kernel holds no error counters of this device')
      : measured(figure, stats[key]);
  });
  return [...there, ...counters];
}

const zfsTellsNot: readonly (readonly [string, string])[] = [
  ['array-protection', 'how the pool is laid out'],
  ['array-members-missing', 'which members of the pool are missing'],
  ['array-may-still-fail', 'how many members may still fail'],
  ['array-work', 'whether it compares or rebuilds just now'],
  ['array-last-check', 'when its copies were last compared'],
  ['array-read-errors', 'errors of its members'],
  ['array-write-errors', 'errors of its members'],
  ['array-damaged-blocks', 'errors of its members'],
];

/**
 * A ZFS pool tells its state without taking a lock, so it answers on a hung pool too. Its layout,
 * its work and its members' errors are told to its own programs alone (OpenZFS, from memory).
 */
export function zfsReadings(text: string | null): readonly Reading[] {
  return [poolState(text), ...zfsTellsNot.map(([metric, what]) => notFromKernel(metric, what))];
}

function poolState(text: string | null): Reading {
  const figure: Figure = {
    metric: 'array-state',
    unit: 'code',
    source: 'Kernel file state of the ZFS pool',
  };
  const state = parsePoolState(text);
  if (state !== null) return measured(figure, state.code, state.text);
  const word = (text ?? '').trim().slice(0, 20);
  const why = word === '' ? 'The kernel gives no state' : `The state "${word}" is not known here`;
  return absent(figure, 'no-figure', why);
}
