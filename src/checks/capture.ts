/** Records that a drive can be asked for, as named in capture files. */
export const recordNames = [
  'identify-device',
  'smart-data',
  'smart-thresholds',
  'smart-status',
  'power-mode',
  'native-max',
  'log',
  'identify-controller',
  'identify-namespace',
  'nvme-log',
  'namespace-list',
  'nvme-feature',
  'inquiry',
  'vpd',
  'read-capacity-16',
  'log-sense',
  'request-sense',
  'defect-list',
  'sct-error-recovery',
  'mode-sense',
] as const;

export type RecordName = (typeof recordNames)[number];

export type CommandSet = 'ata' | 'nvme' | 'scsi';

/**
 * One raw record of a drive. `data` holds the bytes as the drive sent them (empty when `failed`).
 * For `smart-status`, `power-mode`, `native-max` and `sct-error-recovery` (page 1 the read timer,
 * page 2 the write timer) the data is the task file after the command, 12 bytes:
 * error, status, device, count high, count low, and the LBA bytes 0 to 5 (lowest first), then 0.
 * For `nvme-feature` (page is the feature's number, subpage which of its values) it is the
 * completion dword 0, 4 bytes, lowest first.
 */
export interface RawPage {
  readonly record: RecordName;
  readonly log?: number;
  readonly subpage?: number;
  readonly page?: number;
  readonly nsid?: number;
  readonly data: Uint8Array;
  readonly failed?: { readonly reason: string };
}

/** All raw records of one drive taken at one time: what a capture file holds. */
export interface Capture {
  readonly taken: string;
  readonly commandSet: CommandSet;
  readonly pages: readonly RawPage[];
}

/** What a drive says it is. Null means that no record told it. */
export interface DriveIdentity {
  readonly model: string | null;
  readonly serial: string | null;
  readonly firmware: string | null;
  readonly worldWideName: string | null;
  readonly capacityBytes: number | null;
  readonly logicalBlockBytes: number | null;
  readonly physicalBlockBytes: number | null;
  readonly rotationRpm: number | null;
  /** False for solid state; absent when no record told it. */
  readonly rotating?: boolean;
}

/** One independent record of a drive's age. */
export interface HourCounter {
  readonly name: string;
  readonly hours: number | null;
  readonly source: string;
}
