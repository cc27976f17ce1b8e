import { type Answer, missing } from '../../src/agent/box/box.js';
import { fineMs } from '../../src/agent/clock.js';
import type { SimDriveState, SimNature } from './sim-drive-state.js';

const msPerHour = 3_600_000;
const spinUpMs = 6_000;

/** What the parts of one simulated drive share. */
export interface SimParts {
  readonly nature: SimNature;
  readonly state: SimDriveState;
  readonly time: SimTime;
}

export interface Attending {
  readonly name: string;
  readonly deadlineMs: number;
  readonly durationMs: number;
  /** The command needs the medium or a record kept on it: a sleeping spindle starts. */
  readonly wakes: boolean;
}

/**
 * The passing of time for one drive: hours, standby by its own timer, self-tests that take their
 * minutes, and commands that take theirs, one after the other. All by the injected clock.
 */
export class SimTime {
  readonly #nature: SimNature;
  readonly #state: SimDriveState;
  #boot: string;
  #lastMs: number;
  #poweredMs = 0;
  #lastWorkMs = 0;
  #queue: Promise<void> = Promise.resolve();
  #fractionMs = 0;
  #hung = false;
  #overdueUntilMs = 0;

  constructor(nature: SimNature, state: SimDriveState) {
    this.#nature = nature;
    this.#state = state;
    this.#boot = nature.clock.bootId;
    this.#lastMs = nature.clock.bootMs();
  }

  get poweredMs(): number {
    return this.#poweredMs;
  }

  /** Brings hours, standby and self-test up to now. Reading the clock is all it costs. */
  settle(): void {
    const { clock } = this.#nature;
    const now = clock.bootMs();
    if (clock.bootId !== this.#boot) this.#powerUp(clock.bootId);
    const passed = Math.max(0, now - this.#lastMs);
    this.#lastMs = now;
    this.#poweredMs += passed;
    this.#state.powerOnHours += passed / msPerHour;
    this.#settleSelfTest();
    const { standbyAfterMs } = this.#state;
    const idleMs = this.#poweredMs - this.#lastWorkMs;
    if (standbyAfterMs !== null && idleMs >= standbyAfterMs && !this.#state.selfTestRunning) {
      this.#state.standby = this.#nature.spins;
    }
  }

  /** Somebody else used the medium until so long ago: its timer runs from then. */
  noteUse(agoMs: number): void {
    this.settle();
    this.#lastWorkMs = Math.max(this.#lastWorkMs, this.#poweredMs - agoMs);
  }

  /** Does one command: waits its turn, takes its time, and answers by its deadline. */
  async attend<T>(what: Attending, act: () => Answer<T>): Promise<Answer<T>> {
    const turn = this.#queue;
    let done: () => void = () => undefined;
    this.#queue = new Promise((resolve) => {
      done = resolve;
    });
    await turn;
    try {
      return await this.#attendNow(what, act);
    } finally {
      done();
    }
  }

  async #attendNow<T>(what: Attending, act: () => Answer<T>): Promise<Answer<T>> {
    this.settle();
    if (this.#state.faults.vanished) return missing('gone', `The device is gone on ${what.name}`);
    if (this.#isOverdue()) {
      return missing('busy', `Not asked for ${what.name}: an earlier one is still not answered`);
    }
    const durationMs = what.durationMs + (what.wakes ? this.#wake(what.name) : 0);
    if (this.#state.faults.hang || durationMs > what.deadlineMs) {
      return this.#overdue(what, durationMs);
    }
    const { bootId } = this.#nature.clock;
    await this.#spend(durationMs);
    if (this.#nature.clock.bootId !== bootId) {
      return missing('gone', `The box went off during ${what.name}`);
    }
    this.settle();
    if (what.wakes) this.#lastWorkMs = this.#poweredMs;
    return act();
  }

  async #overdue<T>(what: Attending, durationMs: number): Promise<Answer<T>> {
    this.#hung = this.#state.faults.hang;
    this.#state.unanswered.push(what.name);
    await this.#nature.clock.sleep(what.deadlineMs);
    this.#overdueUntilMs = fineMs(this.#nature.clock) + durationMs - what.deadlineMs;
    return missing('timed-out', `No answer to ${what.name} in ${what.deadlineMs} ms`);
  }

  #isOverdue(): boolean {
    this.#hung &&= this.#state.faults.hang;
    return this.#hung || fineMs(this.#nature.clock) < this.#overdueUntilMs;
  }

  #wake(name: string): number {
    if (!this.#state.standby) return 0;
    this.#state.standby = false;
    this.#state.spinUps += 1;
    this.#state.startStops += 1;
    this.#state.headLoads += 1;
    this.#state.wokenBy.push(name);
    this.#lastWorkMs = this.#poweredMs;
    return spinUpMs;
  }

  /** A clock without fractions would lose them: what is less than 1 ms is carried on then. */
  async #spend(durationMs: number): Promise<void> {
    if (this.#nature.clock.fineMs) {
      if (durationMs > 0) await this.#nature.clock.sleep(durationMs);
      return;
    }
    const owed = durationMs + this.#fractionMs;
    const wholeMs = Math.floor(owed);
    this.#fractionMs = owed - wholeMs;
    if (wholeMs > 0) await this.#nature.clock.sleep(wholeMs);
  }

  #powerUp(bootId: string): void {
    this.#boot = bootId;
    this.#lastMs = 0;
    this.#lastWorkMs = this.#poweredMs;
    this.#overdueUntilMs = 0;
    this.#state.powerCycles += 1;
    this.#state.startStops += 1;
    this.#state.standby = false;
    if (this.#state.selfTestRunning) this.endSelfTest(2, null);
  }

  #settleSelfTest(): void {
    const running = this.#state.selfTestRunning;
    if (!running) return;
    const takenMs = this.#poweredMs - running.startedPoweredMs;
    const bad = running.number === 2 ? firstBadSector(this.#state) : null;
    const readsUntil = bad === null ? 1 : bad / sectorsOf(this.#nature);
    if (takenMs >= running.durationMs * readsUntil) this.endSelfTest(bad === null ? 0 : 7, bad);
  }

  startSelfTest(number: number): void {
    const { selfTestShortMinutes, selfTestExtendedMinutes } = this.#state;
    const minutes = number === 1 ? selfTestShortMinutes : selfTestExtendedMinutes;
    this.#state.selfTestRunning = {
      number,
      startedPoweredMs: this.#poweredMs,
      durationMs: minutes * 60_000,
    };
  }

  endSelfTest(result: number, failingLba: number | null): void {
    const running = this.#state.selfTestRunning;
    if (!running) return;
    this.#state.selfTestRunning = null;
    const hours = Math.floor(this.#state.powerOnHours);
    this.#state.selfTests.push({ number: running.number, result, hours, failingLba });
    if (failingLba !== null) this.#state.pendingSectors.add(failingLba);
  }

  /** Percent of the running self-test that is left, 0 when none runs. */
  selfTestLeftPercent(): number {
    const running = this.#state.selfTestRunning;
    if (!running) return 0;
    const takenMs = this.#poweredMs - running.startedPoweredMs;
    return Math.max(0, Math.ceil(100 * (1 - takenMs / running.durationMs)));
  }
}

function firstBadSector(state: SimDriveState): number | null {
  const sectors = [...state.faults.badSectors.keys()];
  return sectors.length === 0 ? null : Math.min(...sectors);
}

export function sectorsOf(nature: SimNature): number {
  return nature.capacityBytes / nature.logicalBlockBytes;
}
