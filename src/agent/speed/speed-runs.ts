import type { ExpectedSpeed } from '../../checks/model/drive-speed.js';
import type { DriveSeen } from '../../checks/part.js';
import type { RunningWork } from '../../checks/request.js';
import { formatBitsPerSecond } from '../../checks/units.js';
import { exitCodes, UserError } from '../../checks/user-error.js';
import type { Box } from '../box/box.js';
import type { Clock } from '../clock.js';
import { metricValue } from '../latest-value.js';
import { isAsleep } from '../probes/is-asleep.js';
import type { PartRow } from '../store/rows.js';
import type { StoreWriter } from '../store/store.js';
import type { StartWorker } from '../workers/worker.js';
import { measureDrive, type SpeedRun } from './drive-speed.js';
import { placesCount, speedPlaces } from './places.js';

export interface SpeedRunParts {
  readonly box: Box;
  readonly clock: Clock;
  readonly store: StoreWriter;
  readonly startWorker: StartWorker;
  readonly isBusy: (drive: DriveSeen) => boolean;
  readonly expectedAt: (part: PartRow, fraction: number) => ExpectedSpeed;
}

interface UnderWay {
  readonly run: SpeedRun;
  readonly work: RunningWork;
}

/** Speed measurements under way; one for a drive at a time. */
export class SpeedRuns {
  readonly #parts: SpeedRunParts;
  readonly #underWay = new Map<string, UnderWay>();

  constructor(parts: SpeedRunParts) {
    this.#parts = parts;
  }

  running(): readonly RunningWork[] {
    return [...this.#underWay.values()].map(({ work }) => work);
  }

  /** Starts a run and gives its number and its end. Throws a UserError when it is refused. */
  async start(drive: DriveSeen, options: { wake: boolean }) {
    const part = this.#parts.store.partByName(drive.id);
    if (part === null || this.#underWay.has(drive.id)) {
      const text = `Drive ${drive.id} is ${part === null ? 'not known yet' : 'being measured already'}`;
      throw new UserError('busy', text, { exitCode: exitCodes.badInput });
    }
    const run = await this.#measure({ drive, part, wake: options.wake });
    return { run: run.run, done: run.done };
  }

  async close(): Promise<void> {
    const runs = [...this.#underWay.values()].map(({ run }) => run);
    for (const run of runs) run.cancel();
    await Promise.allSettled(runs.map(({ done }) => done));
  }

  async #measure(about: { drive: DriveSeen; part: PartRow; wake: boolean }): Promise<SpeedRun> {
    const { drive, part, wake } = about;
    const { box, clock, store, startWorker, expectedAt, isBusy } = this.#parts;
    const parts = {
      box,
      clock,
      store,
      startWorker,
      isAsleep: (one: DriveSeen) => isAsleep(box, one),
      conditions: async () => this.#conditionsOf(part),
    };
    const run = await measureDrive(parts, {
      drive,
      partId: part.id,
      isBusy: isBusy(drive),
      wake,
      expectedAt: (place) => interval(expectedAt(part, place / drive.capacityBytes)),
      limitAt: (place) => limitOf(expectedAt(part, place / drive.capacityBytes)),
      onPlace: (done) => this.#note(run, drive, done),
    });
    this.#note(run, drive, 0);
    const forget = () => this.#underWay.delete(drive.id);
    run.done.then(forget, forget);
    return run;
  }

  #note(run: SpeedRun, drive: DriveSeen, done: number): void {
    const { bytesPerPlace } = speedPlaces(drive.capacityBytes);
    const work: RunningWork = {
      kind: 'speed',
      run: run.run,
      drive: drive.id,
      stage: `place ${Math.min(done + 1, placesCount)} of ${placesCount}`,
      state: 'running',
      erases: false,
      doneBytes: done * bytesPerPlace,
      totalBytes: placesCount * bytesPerPlace,
      bytesPerSecond: null,
      secondsLeft: null,
      errors: 0,
    };
    this.#underWay.set(drive.id, { run, work });
  }

  #conditionsOf(part: PartRow) {
    const latest = this.#parts.store.latest(part.id);
    const link = metricValue(latest, 'sata-link-speed');
    return {
      temperature: metricValue(latest, 'temperature'),
      linkSpeed: link === null ? null : formatBitsPerSecond(link),
      lanes: metricValue(latest, 'pci-link-lanes'),
    };
  }
}

function interval(expected: ExpectedSpeed) {
  return 'unknown' in expected ? null : expected;
}

function limitOf(expected: ExpectedSpeed) {
  if ('unknown' in expected || expected.limitedBy === null) return null;
  return { part: expected.limitedBy.part, evidence: expected.limitedBy.why };
}
