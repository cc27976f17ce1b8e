/** How far a decode was held against something other than itself. */
export type RecordProof = 'worked bytes' | 'worked bytes, emulated machine';

/** One standard or maker's record of a drive, what is taken from it, and on whose word. */
export interface RecordRow {
  readonly protocol: 'ATA' | 'SCSI' | 'NVMe';
  readonly record: string;
  readonly taken: string;
  readonly source: string;
  readonly verified: RecordProof;
  /** Asked for once when the box is idle, not in every round. */
  readonly rare?: boolean;
}

export const workedBytes = 'worked bytes';
export const workedAndEmulated = 'worked bytes, emulated machine';
