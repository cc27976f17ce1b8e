import { archiveSerials } from '../box/archive-box.js';
import { seededChance } from '../box/sim-speed.js';
import { copying, dayMs, hourMs } from './archive-life.js';
import type { AgentRun } from './run-agent.js';

const minuteMs = 60_000;

/** What an eventful life held, so that a test can tell that it was one. */
export interface Events {
  powerCuts: number;
  clockSteps: number;
  growths: number;
  copies: number;
}

/**
 * Lives through boots of changing length with everything that a box at home meets: the power goes,
 * the calendar starts in 1970, jumps a day and back, or is put right by the network, people copy,
 * disks fall asleep, counters grow. The same seed gives the same life.
 */
export async function liveEventfully(
  run: AgentRun,
  { seed, boots }: { readonly seed: number; readonly boots: number },
): Promise<Events> {
  const chance = seededChance(seed);
  const between = (low: number, high: number) => low + chance() * (high - low);
  // One disk has so short a timer that it is asleep again before the next look.
  run.box.seat(archiveSerials.disks[3]).drive.state.standbyAfterMs = 2 * minuteMs;
  const events: Events = { powerCuts: 0, clockSteps: 0, growths: 0, copies: 0 };
  for (let boot = 0; boot < boots; boot += 1) {
    const stepped = startCalendar(run, chance());
    await run.switchOn();
    if (stepped !== 0) events.clockSteps += 1;
    await liveOneBoot(run, { chance, between, events, stepped });
    const offMs = between(0.2 * hourMs, 40 * hourMs);
    const isCut = chance() < 0.35;
    if (isCut) events.powerCuts += 1;
    copying(run, false);
    if (isCut) run.cutPower(offMs);
    else await run.shutDown(offMs);
  }
  return events;
}

/** Some boots begin with a calendar that lost its battery: 1970. Returns what was taken off. */
function startCalendar({ box: { clock } }: AgentRun, chance: number): number {
  if (chance > 0.2) return 0;
  const before = clock.wallMs();
  clock.stepWall(60_000 - before);
  return before - 60_000;
}

interface Living {
  readonly chance: () => number;
  readonly between: (low: number, high: number) => number;
  readonly events: Events;
  readonly stepped: number;
}

async function liveOneBoot(run: AgentRun, living: Living): Promise<void> {
  const { chance, between, events, stepped } = living;
  const { clock } = run.box;
  await run.pass(between(10_000, 3 * minuteMs));
  if (stepped !== 0) clock.stepWall(stepped);
  const stretches = 1 + Math.floor(chance() * 4);
  for (let stretch = 0; stretch < stretches; stretch += 1) {
    const what = chance();
    const isCopying = chance() < 0.5;
    if (isCopying) events.copies += 1;
    copying(run, isCopying);
    if (what < 0.15) {
      events.clockSteps += 1;
      await withCalendarOff(run, chance() < 0.5 ? dayMs : -dayMs, between);
    } else if (what < 0.5) {
      events.growths += 1;
      growSomething(run, chance);
    }
    await run.pass(between(5 * minuteMs, 2.2 * hourMs));
  }
}

async function withCalendarOff(
  run: AgentRun,
  byMs: number,
  between: Living['between'],
): Promise<void> {
  run.box.clock.stepWall(byMs);
  await run.pass(between(minuteMs, 20 * minuteMs));
  run.box.clock.stepWall(-byMs);
}

function growSomething({ box }: AgentRun, chance: () => number): void {
  box.settle();
  const serial = archiveSerials.disks[Math.floor(chance() * 4)] ?? archiveSerials.disks[0];
  const { state } = box.seat(serial).drive;
  const more = 1 + Math.floor(chance() * 9);
  switch (Math.floor(chance() * 5)) {
    case 0:
      state.interfaceCrcErrors += more;
      break;
    case 1:
      state.reallocatedSectors += more;
      break;
    case 2:
      state.pendingSectorsMore = more;
      break;
    case 3:
      state.commandsOverdue += more;
      break;
    default:
      box.seat(serial).extraCelsius = more;
  }
  box.settle();
}
