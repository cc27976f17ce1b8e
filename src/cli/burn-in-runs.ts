import type { Places } from '../agent/places.js';
import { openReader } from '../agent/store/read.js';
import type { BurnInRow } from '../agent/store/rows.js';
import { wordReason } from '../checks/burn-in-words.js';
import type { RunningWork } from '../checks/request.js';
import { formatBytes, formatBytesPerSecond, formatDuration } from '../checks/units.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { wordAdvice } from '../checks/wording.js';
import { agentStatus } from './ask.js';
import { badInput } from './options.js';

/** Every run so far, newest last. */
export async function listRuns(places: Places, json: boolean): Promise<ExitCode> {
  const runs = readRuns(places);
  if (json) for (const run of runs) console.log(JSON.stringify(withoutSeed(run)));
  else if (runs.length === 0) console.log('No burn-in was started so far.');
  else for (const run of runs) console.log(wordRun(run));
  return exitCodes.done;
}

/** One run: where it stands, or its verdict with reasons. */
export async function showRun(
  places: Places,
  { run, json }: { run: number; json: boolean },
): Promise<ExitCode> {
  const row = readRuns(places).find((one) => one.run === run);
  if (row === undefined) throw badInput(`There is no burn-in ${run}`, 'bayward burn-in list');
  const status = await agentStatus(places);
  const work = status?.running.find((one) => one.kind === 'burn-in' && one.run === run) ?? null;
  if (json) console.log(JSON.stringify({ ...withoutSeed(row), progress: work }));
  else for (const text of [wordRun(row), ...wordWork(work), ...wordVerdict(row)]) console.log(text);
  const advice = row.verdict?.advice;
  return advice === 'return' || advice === 'replace' ? exitCodes.belowExpected : exitCodes.done;
}

function readRuns(places: Places): readonly BurnInRow[] {
  const reader = openReader(places.storeFile);
  try {
    return reader.burnIns().toSorted((one, other) => one.run - other.run);
  } finally {
    reader.close();
  }
}

/** The seed would let anybody make sectors that look like ours. */
function withoutSeed({ seed: _seed, ...row }: BurnInRow) {
  return row;
}

function wordRun({ run, drive, erases, state, started, verdict }: BurnInRow): string {
  const kind = erases ? 'reading and writing' : 'reading only';
  const day = new Date(started.wallMs).toISOString().slice(0, 16).replace('T', ' ');
  const end = verdict === null ? state : `${state}: ${wordAdvice(verdict.advice)}`;
  return `Burn-in ${run} of drive ${drive}, ${kind}, since ${day} UTC: ${end}`;
}

function wordWork(work: RunningWork | null): string[] {
  if (work === null) return [];
  const rate =
    work.bytesPerSecond === null ? '' : ` at ${formatBytesPerSecond(work.bytesPerSecond)}`;
  const left = work.secondsLeft === null ? '' : `, about ${formatDuration(work.secondsLeft)} left`;
  const done = `${formatBytes(work.doneBytes)} of ${formatBytes(work.totalBytes)}`;
  return [`  ${work.stage}: ${done}${rate}${left}; ${work.errors} errors so far`];
}

function wordVerdict({ verdict }: BurnInRow): string[] {
  if (verdict === null) return [];
  return [
    ...verdict.reasons.map((reason) => `  ${wordReason(reason)}`),
    ...verdict.proven.map((text) => `  Proven: ${text}`),
    ...verdict.notProven.map((text) => `  Not proven: ${text}`),
    ...verdict.skipped.map((text) => `  Skipped: ${text}`),
  ];
}
