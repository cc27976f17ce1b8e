import { archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import { boxFaults } from '../box/faults.js';
import type { SimBox } from '../box/sim-box.js';
import { makeSimClock } from '../box/sim-clock.js';
import { archiveModel, copying, dayMs, hourMs } from './archive-life.js';
import { AgentRun } from './run-agent.js';

/** Days of invented history before the one that is looked at. */
export const storyDays = 90;

/** The box has been on for so long today when the page opens. */
const onTodayMs = 3 * hourMs;
const tickMs = 5 * 60_000;

const [, warm, badCable] = archiveSerials.disks;

export interface StoryOptions {
  readonly folder: string;
  /** The moment at which the story ends. */
  readonly endsWallMs: number;
  readonly seed: number;
  readonly onDay?: (day: number) => void;
}

/**
 * Ninety days of the archive's reading room, lived by the real agent on the simulated box: open on
 * weekdays for some hours, once with a power cut; a warm week that passes, a data cable that gets
 * worse, a drive on trial. Afterwards time goes by as in the world outside.
 */
export async function tellStory(options: StoryOptions): Promise<AgentRun> {
  const firstStart = options.endsWallMs - onTodayMs - storyDays * dayMs;
  const box = archiveReadingRoomBox(options.seed, { clock: makeSimClock(firstStart) });
  const run = new AgentRun({ box, folder: options.folder, model: archiveModel(), tickMs });
  const startOf = (day: number) => firstStart + day * dayMs;
  let openDay = 0;
  for (let day = 0; day < storyDays; day += 1) {
    options.onDay?.(day);
    if (isClosed(startOf(day))) continue;
    await run.switchOn();
    openDay += 1;
    await liveThroughDay(run, openDay);
    const offMs = startOf(nextOpenDay(day, startOf)) - box.clock.wallMs();
    if (openDay === 40) run.cutPower(offMs);
    else await run.shutDown(offMs);
  }
  await run.switchOn();
  await today(run, options.endsWallMs);
  return run;
}

/** The reading room is closed on Sundays. */
function isClosed(wallMs: number): boolean {
  return new Date(wallMs).getUTCDay() === 0;
}

function nextOpenDay(day: number, startOf: (day: number) => number): number {
  const next = day + 1;
  return next < storyDays && isClosed(startOf(next)) ? next + 1 : next;
}

/** Days are counted as the reading room is open, so that nothing is planned for a Sunday. */
async function liveThroughDay(run: AgentRun, day: number): Promise<void> {
  const { box } = run;
  await run.pass(hourMs / 2);
  copying(run, true);
  if (day === 20) plant(box, 'blocked air', warm);
  if (day === 24) repair(box, 'blocked air', warm);
  if (day >= 60 && day % 5 === 0) plant(box, 'bad data cable', badCable);
  await run.pass(2 * hourMs);
  copying(run, false);
  if (day === 8) await readTrialDrive(run);
  await run.pass(hourMs + (day % 4) * 20 * 60_000);
}

async function readTrialDrive(run: AgentRun): Promise<void> {
  const request = { request: 'burn-in-start', drive: archiveSerials.trial } as const;
  await run.ask({ ...request, options: { erase: false, askedFrom: 'box' } });
  await run.passUntil(() => run.agent.burnIns.running().length === 0, 6 * hourMs);
}

/** The last hours until now, and a second reading of the drive on trial that goes on. */
async function today(run: AgentRun, endsWallMs: number): Promise<void> {
  const { box } = run;
  copying(run, true);
  await run.pass(Math.max(0, endsWallMs - box.clock.wallMs() - hourMs));
  copying(run, false);
  await run.pass(Math.max(0, endsWallMs - box.clock.wallMs()));
  // Slow enough that somebody who looks sees it move for an hour.
  box.seat(archiveSerials.trial).drive.state.faults.slowedBy = 8;
  const request = { request: 'burn-in-start', drive: archiveSerials.trial } as const;
  await run.ask({ ...request, options: { erase: false, askedFrom: 'box' } });
  box.clock.goLive();
}

function plant(box: SimBox, name: string, serial: string): void {
  faultOf(name).plant(box, targetAt(serial));
  box.settle();
}

function repair(box: SimBox, name: string, serial: string): void {
  faultOf(name).repair(box, targetAt(serial));
  box.settle();
}

function faultOf(name: string) {
  const fault = boxFaults.find((one) => one.name === name);
  if (fault === undefined) throw new Error(`There is no fault "${name}" in the list`);
  return fault;
}

function targetAt(serial: string) {
  return { serial, otherSerial: serial, card: '' };
}
