import { openReader } from '../agent/store/read.js';
import type { SpeedRow } from '../agent/store/rows.js';
import { outcomeWords } from '../checks/state-words.js';
import { formatBytesPerSecond } from '../checks/units.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { ask } from './ask.js';
import type { CommandLine } from './options.js';
import { placesOf } from './places-of.js';
import { untilDone } from './until-done.js';

interface Started {
  readonly run: number;
  readonly drives: readonly string[];
  readonly leftOut: readonly { readonly drive: string; readonly why: string }[];
}

/** Measures all drives alone and together, and says what holds them back. */
export async function speedTogether(line: CommandLine): Promise<ExitCode> {
  const places = placesOf(line);
  const options = { together: true, wake: line.wake };
  const started = (await ask(places, { request: 'speed-start', options })) as Started;
  if (!line.json) for (const text of startLines(started)) console.log(text);
  await untilDone(places, [started.run]);
  const rows = rowsOf(places.storeFile, started.run);
  if (line.json) for (const row of rows) console.log(JSON.stringify(row));
  else for (const text of resultLines(rows)) console.log(text);
  return codeOf(rows, started);
}

function startLines({ drives, leftOut }: Started): readonly string[] {
  return [
    `Reading ${drives.length} drives from their outer edge, alone and together; nothing is written.`,
    ...leftOut.map(({ drive, why }) => `Drive ${drive} is left out: ${why}`),
  ];
}

function rowsOf(storeFile: string, run: number): readonly SpeedRow[] {
  const reader = openReader(storeFile);
  try {
    const rows = reader.parts().flatMap(({ id }) => reader.speeds(id));
    return rows.filter((row) => row.run === run).sort((one, other) => one.id - other.id);
  } finally {
    reader.close();
  }
}

function resultLines(rows: readonly SpeedRow[]): readonly string[] {
  const last = rows.at(-1);
  if (last === undefined) return ['Nothing was measured; bayward status tells why'];
  const limit = last.limit === undefined ? '' : `; held back by ${last.limit.part}`;
  return [...rows.map(rowLine), `Result: ${outcomeWords[last.verdict]}${limit}`];
}

function rowLine({ streams, bytesPerSecond, complete, reason }: SpeedRow): string {
  const who = streams === 1 ? 'alone' : `${streams} together`;
  const told = reason === undefined ? '' : `. ${reason}`;
  const rate = complete ? formatBytesPerSecond(bytesPerSecond) : 'no figure';
  return `  ${who}: ${rate}${told}`;
}

/** Partial when a drive was left out or a group gave no figure. */
function codeOf(rows: readonly SpeedRow[], { leftOut }: Started): ExitCode {
  if (rows.some(({ verdict }) => verdict === 'short')) return exitCodes.belowExpected;
  const partial = rows.length === 0 || rows.some(({ complete }) => !complete) || leftOut.length > 0;
  return partial ? exitCodes.interrupted : exitCodes.done;
}
