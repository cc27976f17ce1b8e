/**
 * Carries out what `due` says. Jobs of different lanes run side by side, so that a drive that does
 * not answer holds up nobody else; within a lane they run one after the other. A job that throws
 * is recorded and stops nothing. When a run cannot be recorded in the store it is remembered here,
 * so that a full disk does not make every job due each minute.
 */
import type { Clock } from '../clock.js';
import type { BootRow, JobRow } from '../store/rows.js';
import type { StoreWriter } from '../store/store.js';
import { type DueJob, due, type Now, type Situation } from './due.js';
import { type JobName, type JobRule, standardJobs } from './jobs.js';
import { poweredMs } from './powered.js';
import type { TickSource } from './tick.js';

/** What a job says that could not be done at this moment: it stays due and no run is recorded. */
export const atNextTick = Symbol('at the next tick');

/** Does a job; resolves to null when it is done, or to the reason why it was put off. */
export type JobWork = (
  drive: string | null,
  stopping: AbortSignal,
) => Promise<string | typeof atNextTick | null>;

export interface LoopOptions {
  readonly clock: Clock;
  readonly store: Pick<StoreWriter, 'boots' | 'jobs' | 'jobRan'>;
  /** Number of this boot. */
  readonly boot: number;
  readonly situation: () => Situation | Promise<Situation>;
  readonly jobs: Readonly<Record<JobName, JobWork>>;
  readonly tick: TickSource;
  readonly rules?: readonly JobRule[];
  /** Told of each error: the job's key (or "schedule") and what was thrown. */
  readonly onProblem?: (job: string, error: unknown) => void;
}

export interface RunningLoop {
  /** Starts nothing more, asks what runs to stop, and waits for it. */
  stop(): Promise<void>;
}

/** Boots hardly change, but the trust in this one's calendar may. */
const bootsFreshMs = 5 * 60_000;

export function runLoop(options: LoopOptions): RunningLoop {
  const loop = new Loop(options);
  const stopTicks = options.tick(() => loop.tick());
  return {
    stop: async () => {
      stopTicks();
      await loop.stop();
    },
  };
}

class Loop {
  readonly #options: LoopOptions;
  readonly #stopping = new AbortController();
  readonly #lanes = new Map<string, Promise<void>>();
  readonly #history: Map<string, JobRow>;
  #boots: readonly BootRow[] = [];
  #bootsReadMs = Number.NEGATIVE_INFINITY;
  #deciding: Promise<Situation> | null = null;

  constructor(options: LoopOptions) {
    this.#options = options;
    this.#history = new Map(options.store.jobs().map((row) => [row.job, row]));
  }

  /** Resolves when the jobs that this tick started are over. */
  async tick(): Promise<void> {
    if (this.#deciding !== null || this.#stopping.signal.aborted) {
      return;
    }
    try {
      this.#deciding = Promise.resolve(this.#options.situation());
      const situation = await this.#deciding;
      this.#deciding = null;
      await Promise.all(this.#start(situation));
    } catch (error) {
      this.#tell('schedule', error);
    } finally {
      this.#deciding = null;
    }
  }

  async stop(): Promise<void> {
    this.#stopping.abort();
    await this.#deciding?.catch(() => undefined);
    await Promise.all(this.#lanes.values());
  }

  #start(situation: Situation): readonly Promise<void>[] {
    if (this.#stopping.signal.aborted) {
      return [];
    }
    this.#refreshBoots();
    const jobs = due(this.#options.rules ?? standardJobs, {
      now: this.#now(),
      situation,
      history: [...this.#history.values()],
      trustedBoots: new Set(this.#boots.filter((row) => row.wallTrusted).map(({ id }) => id)),
    });
    const free = [...new Set(jobs.map(laneOf))].filter((lane) => !this.#lanes.has(lane));
    return free.map((lane) => {
      const group = jobs.filter((job) => laneOf(job) === lane);
      const running = this.#runInTurn(group).finally(() => this.#lanes.delete(lane));
      this.#lanes.set(lane, running);
      return running;
    });
  }

  #refreshBoots(): void {
    const bootMs = this.#options.clock.bootMs();
    if (bootMs - this.#bootsReadMs >= bootsFreshMs) {
      this.#boots = this.#options.store.boots();
      this.#bootsReadMs = bootMs;
    }
  }

  #now(): Now {
    const { clock, boot } = this.#options;
    const bootMs = clock.bootMs();
    return {
      boot,
      bootMs,
      wallMs: clock.wallMs(),
      wallTrusted: this.#boots.some((row) => row.id === boot && row.wallTrusted),
      poweredMs: poweredMs(this.#boots, { boot, bootMs }),
    };
  }

  async #runInTurn(jobs: readonly DueJob[]): Promise<void> {
    for (const job of jobs) {
      if (!this.#stopping.signal.aborted) {
        await this.#runOne(job);
      }
    }
  }

  async #runOne({ key, job, drive, recorded }: DueJob): Promise<void> {
    let outcome: string;
    try {
      const said = await this.#options.jobs[job](drive, this.#stopping.signal);
      if (said === atNextTick) return;
      outcome = said ?? 'done';
    } catch (error) {
      outcome = `failed: ${error instanceof Error ? error.message : String(error)}`;
      this.#tell(key, error);
    }
    try {
      this.#record(key, { outcome, recorded });
    } catch (error) {
      this.#tell(key, error);
    }
  }

  #record(key: string, { outcome, recorded }: { outcome: string; recorded: boolean }): void {
    const { boot, bootMs, wallMs, poweredMs: powered } = this.#now();
    const row: JobRow = {
      job: key,
      lastBoot: boot,
      lastMonoMs: bootMs,
      lastWallMs: wallMs,
      lastPoweredMs: powered,
      outcome,
    };
    const before = this.#history.get(key);
    this.#history.set(key, row);
    if (recorded || before?.outcome !== outcome) this.#options.store.jobRan(row);
  }

  #tell(job: string, error: unknown): void {
    this.#options.onProblem?.(job, error);
  }
}

/**
 * Heavy work shares one lane; each drive's gentle work has its own. So have temperatures and the
 * board's controller, which something silent may hold up. The rest is the box's.
 */
function laneOf({ heavy, drive, job }: DueJob): string {
  if (heavy) {
    return 'heavy';
  }
  if (job === 'temperatures' || job === 'management') {
    return job;
  }
  return drive === null ? 'box' : `drive ${drive}`;
}
