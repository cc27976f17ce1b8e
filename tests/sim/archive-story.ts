import { archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import { boxFaults } from '../box/faults.js';
import type { SimBox } from '../box/sim-box.js';
import { makeSimClock } from '../box/sim-clock.js';
import { archiveModel, copying, dayMs, hourMs } from './archive-life.js';
import { AgentRun } from './run-agent.js';
import { storyModel, trialDrives, trialPlaces, trialSerials } from './story-trials.js';

const minuteMs = 60_000;
/** The box has been on for so long today when the page opens. */
const onTodayMs = 3 * hourMs;
/**
 * Up to the last days the schedule looks each half hour only, so that the story is told in half a
 * minute; the disks' timers are long then, so that it meets them awake.
 */
const coarse = { tickMs: 30 * minuteMs, standbyAfterMs: 130 * minuteMs };
const fine = { tickMs: 10 * minuteMs, standbyAfterMs: 30 * minuteMs };
const fineDays = 9;
const moduleDay = 12;
const returnedDay = 55;

const [, badCable, warm, sleeper] = archiveSerials.disks;

export interface StoryOptions {
  readonly folder: string;
  readonly modelFile: string;
  /** The moment at which the story ends. */
  readonly endsWallMs: number;
  readonly seed: number;
  /** Days of invented history before the one that is looked at. */
  readonly days: number;
  readonly onDay?: (day: number) => void;
}

/**
 * Ninety days of the archive's reading room, lived by the real agent on the simulated box: open on
 * weekdays for some hours, a week closed, once a power cut; heat that passes, a data cable that
 * gets worse, drives on trial. Afterwards time goes by as in the world outside.
 */
export async function tellStory(options: StoryOptions): Promise<AgentRun> {
  const { days } = options;
  const firstStart = options.endsWallMs - onTodayMs - days * dayMs;
  const run = makeRun(options, firstStart);
  const { box } = run;
  const open = openDays(firstStart, days);
  for (const [index, day] of open.entries()) {
    options.onDay?.(day);
    if (day === days) break;
    setPace(run, day < days - fineDays ? coarse : fine);
    changeDrives(box, index + 1);
    await run.switchOn();
    await liveThroughDay(run, index + 1);
    const offMs = firstStart + (open[index + 1] ?? day + 1) * dayMs - box.clock.wallMs();
    if (index === 40) run.cutPower(offMs);
    else await run.shutDown(offMs);
  }
  plugIn(box, trialSerials.today);
  setPace(run, { tickMs: 5 * minuteMs, standbyAfterMs: 20 * minuteMs });
  await run.switchOn();
  await today(run, options.endsWallMs);
  return run;
}

function makeRun(options: StoryOptions, startsWallMs: number): AgentRun {
  const { folder, modelFile, seed, endsWallMs } = options;
  const clock = makeSimClock(startsWallMs);
  const box = archiveReadingRoomBox(seed, { clock, more: trialDrives });
  for (const serial of Object.values(trialSerials)) box.unplug(serial);
  const model = archiveModel(storyModel(endsWallMs));
  return new AgentRun({ box, folder, model, modelFile });
}

function setPace(run: AgentRun, { tickMs, standbyAfterMs }: typeof coarse): void {
  run.tickMs = tickMs;
  for (const serial of archiveSerials.disks) {
    run.box.seat(serial).drive.state.standbyAfterMs = standbyAfterMs;
  }
}

/** Numbers of the days on which the box is switched on; the last one is today. */
function openDays(firstStart: number, days: number): readonly number[] {
  const isSunday = (day: number) => new Date(firstStart + day * dayMs).getUTCDay() === 0;
  const isHoliday = (day: number) => day >= 48 && day < 55;
  return Array.from({ length: days + 1 }, (_, day) => day).filter(
    (day) => day === days || !(isSunday(day) || isHoliday(day)),
  );
}

/** Drives come and go while the box is off, by days as they are counted below. */
function changeDrives(box: SimBox, day: number): void {
  if (day === moduleDay) plugIn(box, trialSerials.module);
  if (day === moduleDay + 1) box.unplug(trialSerials.module);
  if (day === returnedDay) plugIn(box, trialSerials.returned);
  if (day === returnedDay + 1) box.unplug(trialSerials.returned);
}

function plugIn(box: SimBox, serial: string): void {
  box.plug(serial, trialPlaces[serial] ?? { pci: '', port: 0 });
}

/** Days are counted as the reading room is open, so that nothing is planned for a Sunday. */
async function liveThroughDay(run: AgentRun, day: number): Promise<void> {
  const { box } = run;
  await run.pass(hourMs / 2);
  copying(run, true);
  if (day === 30) plant(box, 'blocked air', warm);
  if (day === 63 || day === 66) plant(box, 'bad data cable', badCable);
  await run.pass((1.5 + (day % 3) * 0.5) * hourMs);
  if (day === 30) repair(box, 'blocked air', warm);
  copying(run, day === 30);
  if (day === moduleDay) await proveModule(run);
  if (day === returnedDay) await findBadSectors(run);
  if (day === returnedDay + 2) await accountForReturned(run);
  await run.pass((1.5 + (day % 4) * 0.5) * hourMs);
  copying(run, false);
}

async function startOn(run: AgentRun, serial: string, erase: boolean): Promise<number> {
  const options = { erase, askedFrom: 'box', ...(erase ? { digits: serial.slice(-4) } : {}) };
  const started = await run.ask({ request: 'burn-in-start', drive: serial, options });
  return (started as { run: number }).run;
}

function isOver(run: AgentRun, number: number): boolean {
  return run.store.burnIns().some((row) => row.run === number && row.verdict !== null);
}

/** A whole burn-in of a small module that ends well; then it goes to where it is needed. */
async function proveModule(run: AgentRun): Promise<void> {
  const number = await startOn(run, trialSerials.module, true);
  await run.passUntil(() => isOver(run, number), hourMs);
  run.box.seat(trialSerials.module).drive.medium.clear();
}

/** A used disk with places that cannot be read: there is soon enough to send it back. */
async function findBadSectors(run: AgentRun): Promise<void> {
  const { badSectors } = run.box.seat(trialSerials.returned).drive.state.faults;
  for (const sector of [4_718_592, 4_718_593, 6_291_460]) badSectors.set(sector, 'unreadable');
  const number = await startOn(run, trialSerials.returned, true);
  const hasEnough = () =>
    run.store.journal(number).some(({ body }) => body.event === 'enough-to-return');
  await run.passUntil(hasEnough, hourMs);
  await run.ask({ request: 'stop', run: number });
  await run.passUntil(() => isOver(run, number), hourMs);
}

/** It went back to its seller: what it had is accounted for. */
async function accountForReturned(run: AgentRun): Promise<void> {
  for (const { id, subject } of run.store.findings('open')) {
    if (subject === trialSerials.returned) await run.ask({ request: 'account-for', finding: id });
  }
}

/** The last hours until now; the disk that came today is being read when the page opens. */
async function today(run: AgentRun, endsWallMs: number): Promise<void> {
  const { box } = run;
  const passTo = (wallMs: number) => run.pass(Math.max(0, wallMs - box.clock.wallMs()));
  await passTo(endsWallMs - 2.5 * hourMs);
  copying(run, true);
  await passTo(endsWallMs - 1.5 * hourMs);
  copying(run, false);
  await passTo(endsWallMs - hourMs);
  copying(run, true);
  const { load } = box.seat(sleeper);
  load.readBytesPerSecond = 0;
  load.writeBytesPerSecond = 0;
  await passTo(endsWallMs - minuteMs);
  await startOn(run, trialSerials.today, false);
  await passTo(endsWallMs);
  run.tickMs = minuteMs;
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
