import type { RecordRow } from '../checks/record-row.js';
import { recordRows } from '../checks/records.js';
import { type BoxRecordRow, boxRecordRows } from '../checks/records-box.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import type { CommandLine } from './options.js';

/** Tells what is read from drives and of the box, and on whose word. Asks no drive. */
export async function records(line: CommandLine): Promise<ExitCode> {
  const lines = line.json
    ? [JSON.stringify({ records: recordRows, boxRecords: boxRecordRows })]
    : [...recordRows.flatMap(recordLines), ...boxRecordRows.flatMap(boxRecordLines)];
  for (const text of lines) console.log(text);
  return exitCodes.done;
}

function recordLines(row: RecordRow): readonly string[] {
  const asked = row.rare === true ? ', asked for once, when idle' : '';
  return [
    `${row.protocol}, ${row.record}${asked}`,
    `  ${row.taken}`,
    `  Source: ${row.source}. Verified by ${row.verified}.`,
  ];
}

function boxRecordLines({
  from,
  record,
  taken,
  source,
  verified,
}: BoxRecordRow): readonly string[] {
  return [`${record} (${from})`, `  ${taken}`, `  Source: ${source}. Verified by ${verified}.`];
}
