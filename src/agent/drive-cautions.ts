/**
 * What is written: one row for each drive that left a command unanswered, with the boot in which it
 * did, beside the rows of jobs and as durable as they are. A cut before it leaves the drive without
 * the caution, as if the command had not been sent; the next unanswered one writes it.
 */
import type { Clock } from './clock.js';
import type { StoreWriter } from './store/store.js';

interface CautionParts {
  readonly clock: Clock;
  readonly store: Pick<StoreWriter, 'jobs' | 'jobRan'>;
  readonly boot: number;
}

const keyStart = 'unanswered:';

/** Drives that did not answer in this boot, remembered over restarts of the agent. */
export class DriveCautions {
  readonly #parts: CautionParts;
  readonly #drives: Set<string>;

  constructor(parts: CautionParts) {
    this.#parts = parts;
    const rows = parts.store.jobs().filter(({ lastBoot }) => lastBoot === parts.boot);
    const keys = rows.map(({ job }) => job).filter((job) => job.startsWith(keyStart));
    this.#drives = new Set(keys.map((key) => key.slice(keyStart.length)));
  }

  noteTimeOut(drive: string): void {
    if (this.#drives.has(drive)) return;
    this.#drives.add(drive);
    const { clock, store, boot } = this.#parts;
    store.jobRan({
      job: `${keyStart}${drive}`,
      lastBoot: boot,
      lastMonoMs: Math.round(clock.bootMs()),
      lastWallMs: Math.round(clock.wallMs()),
      lastPoweredMs: 0,
      outcome: 'A command was not answered in time',
    });
  }

  whyNotRare(drive: string): string | null {
    return this.#drives.has(drive)
      ? 'The drive left a command unanswered in this boot, so its long logs are not asked for'
      : null;
  }
}
