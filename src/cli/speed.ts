import type { Places } from '../agent/places.js';
import { openReader } from '../agent/store/read.js';
import type { SpeedRow } from '../agent/store/rows.js';
import { outcomeWords } from '../checks/state-words.js';
import { formatValue } from '../checks/units.js';
import { type ExitCode, exitCodes, UserError } from '../checks/user-error.js';
import { ask } from './ask.js';
import { badInput, type CommandLine } from './options.js';
import { placesOf } from './places-of.js';
import { speedTogether } from './speed-together.js';
import { speedTrace } from './speed-trace.js';
import { untilDone } from './until-done.js';

interface StartedRun {
  readonly run: number;
  readonly drive: string;
}

/** Has the agent measure one drive, or all of them one after another, and prints the figures. */
export async function speed(line: CommandLine): Promise<ExitCode> {
  const [what, word] = line.words;
  if (what === 'trace' && word !== undefined) return speedTrace(word, line.json);
  if (what === 'drives' && word === undefined) return speedTogether(line);
  if (what !== 'drive' || word === undefined) {
    throw badInput('Command speed expects: drive SERIAL, drive all, drives, or trace FILE.csv');
  }
  const places = placesOf(line);
  if (word !== 'all') return measureOne(places, word, line);
  await ask(places, { request: 'status' });
  const codes: ExitCode[] = [];
  // Together they would hold each other back: that is another measurement.
  for (const drive of drivesOf(places)) codes.push(await measureOrTell(places, drive, line));
  return worstOf(codes);
}

async function measureOne(places: Places, drive: string, line: CommandLine): Promise<ExitCode> {
  const started = (await ask(places, {
    request: 'speed-start',
    drive,
    options: { wake: line.wake },
  })) as { runs: readonly StartedRun[] };
  await untilDone(
    places,
    started.runs.map(({ run }) => run),
  );
  return printRuns(places, started.runs, line.json);
}

/** A drive that is refused, such as one that sleeps, keeps no other from being measured. */
async function measureOrTell(places: Places, drive: string, line: CommandLine): Promise<ExitCode> {
  try {
    return await measureOne(places, drive, line);
  } catch (error) {
    if (!(error instanceof UserError) || error.code === 'agent-stopped') throw error;
    if (!line.json) console.log(`Drive ${drive}: not measured. ${error.message}`);
    else
      console.log(
        JSON.stringify({ path: `drive:${drive}`, complete: false, reason: error.message }),
      );
    return exitCodes.interrupted;
  }
}

function drivesOf(places: Places): readonly string[] {
  const reader = openReader(places.storeFile);
  try {
    const here = reader.parts().filter(({ kind, gone }) => kind === 'drive' && gone === undefined);
    return here.map(({ name }) => name);
  } finally {
    reader.close();
  }
}

/** Below expected comes before incomplete, and that before done. */
function worstOf(codes: readonly ExitCode[]): ExitCode {
  const order = [exitCodes.belowExpected, exitCodes.interrupted] as const;
  return (
    order.find((code) => codes.includes(code)) ??
    (codes.length === 0 ? exitCodes.interrupted : exitCodes.done)
  );
}

function printRuns(places: Places, runs: readonly StartedRun[], json: boolean): ExitCode {
  const reader = openReader(places.storeFile);
  try {
    const rows = runs.flatMap(({ run, drive }) => rowsOf(reader, drive, run));
    if (json) for (const row of rows) console.log(JSON.stringify(row));
    else for (const text of wordRuns(rows)) console.log(text);
    if (rows.length === 0 || rows.some((row) => !row.complete)) return exitCodes.interrupted;
    return rows.some((row) => row.verdict === 'short') ? exitCodes.belowExpected : exitCodes.done;
  } finally {
    reader.close();
  }
}

function rowsOf(reader: ReturnType<typeof openReader>, drive: string, run: number): SpeedRow[] {
  const part = reader.partByName(drive);
  return part === null ? [] : reader.speeds(part.id).filter((row) => row.run === run);
}

function wordRuns(rows: readonly SpeedRow[]): string[] {
  if (rows.length === 0) return ['Nothing was measured; bayward status tells why'];
  const paths = [...new Set(rows.map(({ path }) => path))];
  return paths.flatMap((path) => {
    const own = rows.filter((row) => row.path === path);
    return [`${path.replace('drive:', 'Drive ')}, reading only:`, ...wordPlaces(own)];
  });
}

/** Places that failed for one and the same reason are told once. */
function wordPlaces(rows: readonly SpeedRow[]): string[] {
  const [first] = rows;
  const alike = rows.every((row) => row.bytesPerSecond === null && row.reason === first?.reason);
  if (!alike) return rows.map((row) => `  ${wordPlace(row)}`);
  return [`  no figure at any of ${rows.length} places. ${first?.reason ?? ''}`.trimEnd()];
}

function wordPlace(row: SpeedRow): string {
  const where = `at ${formatValue(row.place ?? 0, 'bytes')}`;
  if (row.bytesPerSecond === null) return `${where}: no figure. ${row.reason ?? ''}`.trim();
  const rate = formatValue(row.bytesPerSecond, 'bytes-per-second');
  const range = `${formatValue(row.low, 'bytes-per-second')} to ${formatValue(row.high, 'bytes-per-second')}`;
  const note = row.reason === undefined ? '' : `. ${row.reason}`;
  return `${where}: ${rate} (${range}), ${outcomeWords[row.verdict]}${note}`;
}
