import type { RecordRow } from './record-row.js';
import { ataRecordRows } from './records-ata.js';
import { nvmeRecordRows } from './records-nvme.js';
import { scsiRecordRows } from './records-scsi.js';

/**
 * Every record of a drive that is read, in the order of the README's table, which is compared with
 * this list. "Worked bytes" are captures laid down by hand from the named source: one good, one cut
 * short, one that holds the values which mean "none". A part of a layout that stands in no document
 * at hand is marked "from memory", and is checked against nothing but our reading of it.
 */
export const recordRows: readonly RecordRow[] = [
  ...ataRecordRows,
  ...scsiRecordRows,
  ...nvmeRecordRows,
];
