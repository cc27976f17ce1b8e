import type { RecordRow } from '../checks/record-row.js';
import { recordRows } from '../checks/records.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import type { CommandLine } from './options.js';

/** Tells what is read from drives, and on whose word. Asks no drive. */
export async function records(line: CommandLine): Promise<ExitCode> {
  const lines = line.json
    ? [JSON.stringify({ records: recordRows })]
    : recordRows.flatMap(recordLines);
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
