import { exitCodes, UserError } from '../user-error.js';
import type { TracePoint } from './trace.js';

export interface ReadTrace {
  readonly points: readonly TracePoint[];
  /** What was taken for granted about the file, in sentences without a full stop. */
  readonly assumed: readonly string[];
}

const linesMax = 1_000_000;
const number = /^\s*\d+(\.\d+)?\s*$/;

/**
 * Reads a recorded copy: a first line "seconds,bytes", then a line for each moment, seconds
 * ascending. Bytes are the total copied by then; where they fall from line to line they are taken
 * as what was copied since the line before. Throws a `UserError` that names the line, what was
 * expected and what was found.
 */
export function readTrace(text: string, file: string): ReadTrace {
  const lines = text.split(/\r?\n/);
  if (lines.at(-1)?.trim() === '') lines.pop();
  if (lines[0]?.trim().replaceAll(' ', '') !== 'seconds,bytes') {
    throw wrong(file, 1, { expected: 'the words seconds,bytes', found: lines[0] ?? '' });
  }
  if (lines.length > linesMax) {
    throw wrong(file, linesMax, {
      expected: `at most ${linesMax} lines`,
      found: `${lines.length}`,
    });
  }
  const rows = lines.slice(1).map((line, at) => readLine(line, file, at + 2));
  checkOrder(rows, file);
  if (rows.length < 2) {
    throw wrong(file, lines.length, {
      expected: 'at least two moments',
      found: `${rows.length}`,
    });
  }
  return totals(rows);
}

function readLine(line: string, file: string, at: number): TracePoint {
  const [seconds, bytes, ...more] = line.split(',');
  if (!number.test(seconds ?? '') || !number.test(bytes ?? '') || more.length > 0) {
    throw wrong(file, at, { expected: 'a number of seconds and one of bytes', found: line });
  }
  return { seconds: Number(seconds), bytes: Number(bytes) };
}

function checkOrder(rows: readonly TracePoint[], file: string): void {
  const at = rows.findIndex(
    (row, index) => index > 0 && row.seconds <= (rows[index - 1]?.seconds ?? 0),
  );
  if (at < 0) return;
  throw wrong(file, at + 2, {
    expected: `seconds after ${rows[at - 1]?.seconds}`,
    found: `${rows[at]?.seconds}`,
  });
}

/** Totals from the first line on; a file of amounts between lines is added up. */
function totals(rows: readonly TracePoint[]): ReadTrace {
  const [first] = rows;
  const falls = rows.some((row, at) => at > 0 && row.bytes < (rows[at - 1]?.bytes ?? 0));
  const begin = { seconds: first?.seconds ?? 0, bytes: falls ? 0 : (first?.bytes ?? 0) };
  let sum = 0;
  const points = rows.map(({ seconds, bytes }, at): TracePoint => {
    if (falls && at > 0) sum += bytes;
    return { seconds: seconds - begin.seconds, bytes: falls ? sum : bytes - begin.bytes };
  });
  const taken =
    'The bytes fall from line to line, so each is taken as copied since the line before';
  return { points, assumed: falls ? [taken] : [] };
}

function wrong(
  file: string,
  line: number,
  { expected, found }: { readonly expected: string; readonly found: string },
): UserError {
  const shown = JSON.stringify(found.slice(0, 40));
  return new UserError('bad-trace', `${file}: Line ${line}: expected ${expected}, found ${shown}`, {
    exitCode: exitCodes.badInput,
    hint: 'A trace is a line seconds,bytes and then a line for each moment, such as 0.1,104857600',
  });
}
