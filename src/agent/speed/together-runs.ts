import type { BoxModel } from '../../checks/model/parse.js';
import { sharedParts } from '../../checks/model/shared-parts.js';
import type { DriveSeen } from '../../checks/part.js';
import type { RunningWork } from '../../checks/request.js';
import type { SpeedResult } from '../../checks/speed-result.js';
import {
  growingGroups,
  judgeTogether,
  type SharedPart,
  type TogetherStep,
  type TogetherVerdict,
} from '../../checks/together.js';
import { formatBytesPerSecond } from '../../checks/units.js';
import { exitCodes, UserError } from '../../checks/user-error.js';
import type { Box } from '../box/box.js';
import type { Clock } from '../clock.js';
import { instantNow } from '../instant.js';
import { isAsleep } from '../probes/is-asleep.js';
import type { StoreWriter } from '../store/store.js';
import type { StartWorker } from '../workers/worker.js';
import { arraysThatNeedRest } from './array-rest.js';
import { measureTogether, type StepResult } from './together-step.js';

export interface TogetherParts {
  readonly box: Box;
  readonly clock: Clock;
  readonly store: StoreWriter;
  readonly startWorker: StartWorker;
  readonly model: BoxModel | null;
  /** A burn-in or another measurement works on the drive now. */
  readonly isBusy: (drive: DriveSeen) => boolean;
  readonly say: (line: string) => void;
  /** Slowest expected speed at the outer edge, bytes per second; null where nothing tells. */
  readonly expectedLow: (serial: string) => number | null;
}

export interface TogetherStarted {
  readonly run: number;
  readonly drives: readonly string[];
  readonly leftOut: readonly { readonly drive: string; readonly why: string }[];
}

interface UnderWay {
  readonly run: number;
  readonly drives: readonly DriveSeen[];
  readonly done: Promise<void>;
  work: RunningWork;
}

/** Drives alone and together: one measurement at a time, its steps kept as they come. */
export class TogetherRuns {
  readonly #parts: TogetherParts;
  #underWay: UnderWay | null = null;
  #isCancelled = false;

  constructor(parts: TogetherParts) {
    this.#parts = parts;
  }

  running(): readonly RunningWork[] {
    return this.#underWay === null ? [] : [this.#underWay.work];
  }

  /** Whether a drive takes part in the measurement that is under way. */
  uses(serial: string): boolean {
    return this.#underWay?.drives.some(({ id }) => id === serial) ?? false;
  }

  /** Starts with all drives that may be read now; throws a UserError when fewer than two may. */
  async start(drives: readonly DriveSeen[], { wake }: { wake: boolean }): Promise<TogetherStarted> {
    if (this.#underWay !== null)
      throw refused('busy', 'Drives are being measured together already');
    const arrays = await arraysThatNeedRest(this.#parts.box);
    if (arrays.length > 0) throw refused('arrays-need-rest', arrays.join('. '));
    const judged = await Promise.all(
      drives.map(async (drive) => ({ drive, why: await this.#whyNot(drive, wake) })),
    );
    const taken = judged.flatMap(({ drive, why }) => (why === null ? [drive] : []));
    const leftOut = judged.flatMap(({ drive, why }) =>
      why === null ? [] : [{ drive: drive.id, why }],
    );
    if (taken.length < 2) {
      const reasons = leftOut.map(({ drive, why }) => `${drive}: ${why}`).join('; ');
      throw refused('too-few', `Fewer than two drives can be read now. ${reasons}`.trim());
    }
    const run = this.#parts.store.nextSpeedRun();
    this.#isCancelled = false;
    const done = this.#measure(run, taken)
      .catch((error) => this.#parts.say(`speed of drives together: ${String(error)}`))
      .finally(() => {
        this.#underWay = null;
      });
    this.#underWay ??= {
      run,
      drives: taken,
      done,
      work: workOf(run, 0, growingGroups(names(taken)).length),
    };
    return { run, drives: names(taken), leftOut };
  }

  async close(): Promise<void> {
    this.#isCancelled = true;
    await this.#underWay?.done;
  }

  async #whyNot(drive: DriveSeen, wake: boolean): Promise<string | null> {
    if (this.#parts.isBusy(drive)) return 'other long work uses it now';
    if (drive.capacityBytes <= 0) return 'its capacity is not known';
    const sleeps = !wake && (await isAsleep(this.#parts.box, drive));
    return sleeps ? 'it sleeps and is not woken for this; --wake does' : null;
  }

  async #measure(run: number, drives: readonly DriveSeen[]): Promise<void> {
    const { model, expectedLow } = this.#parts;
    const shared = sharedParts(drives, model);
    const groups = growingGroups(names(drives));
    const steps: TogetherStep[] = [];
    for (const [at, group] of groups.entries()) {
      this.#note(run, at, groups.length);
      const own = drives.filter(({ id }) => group.includes(id));
      const result = await measureTogether(own, {
        ...this.#parts,
        isCancelled: () => this.#isCancelled,
      });
      steps.push({ drives: group, rates: group.map((_, index) => result.rates[index] ?? null) });
      const isLast = at === groups.length - 1;
      const verdict = isLast ? judgeTogether({ steps, shared, expectedLow }) : null;
      this.#keep({ run, drives, shared }, { group, result, verdict });
      if (this.#isCancelled) return;
    }
  }

  #note(run: number, done: number, total: number): void {
    if (this.#underWay?.run === run) this.#underWay.work = workOf(run, done, total);
  }

  #keep(
    about: {
      readonly run: number;
      readonly drives: readonly DriveSeen[];
      readonly shared: readonly SharedPart[];
    },
    step: {
      readonly group: readonly string[];
      readonly result: StepResult;
      readonly verdict: TogetherVerdict | null;
    },
  ): void {
    const { store, clock } = this.#parts;
    const part = about.drives.flatMap(({ id }) => store.partByName(id) ?? [])[0];
    if (part === undefined) return;
    const boot = store.beginBoot(clock.bootId, clock.wallMs());
    const path = `group:${commonPart(names(about.drives), about.shared)}`;
    store.keepSpeed(part.id, instantNow(clock, boot), { ...rowOf(step), run: about.run, path });
  }
}

function names(drives: readonly DriveSeen[]): readonly string[] {
  return drives.map(({ id }) => id);
}

/** The narrowest part that all of them share; the box itself when nothing else is known. */
function commonPart(drives: readonly string[], shared: readonly SharedPart[]): string {
  const common = shared.filter((part) => drives.every((drive) => part.drives.includes(drive)));
  const width = ({ high }: SharedPart) => high ?? Number.POSITIVE_INFINITY;
  return common.toSorted((one, other) => width(one) - width(other))[0]?.part ?? 'box';
}

function rowOf(step: {
  readonly group: readonly string[];
  readonly result: StepResult;
  readonly verdict: TogetherVerdict | null;
}): Omit<SpeedResult, 'run' | 'path'> {
  const { group, result, verdict } = step;
  const complete = result.rates.length === group.length;
  const each = group.map(
    (drive, at) => `${drive} ${formatBytesPerSecond(result.rates[at] ?? null)}`,
  );
  const told = [
    complete ? each.join(', ') : null,
    result.reason,
    verdict === null ? null : verdict.evidence,
  ].filter((one) => one !== null);
  return {
    direction: 'read',
    streams: group.length,
    bytesPerSecond: complete
      ? result.rates.reduce<number>((sum, rate) => sum + (rate ?? 0), 0)
      : null,
    low: result.low,
    high: result.high,
    seconds: result.seconds,
    conditions: { temperature: null, otherLoad: null, linkSpeed: null, lanes: null },
    complete,
    reason: told.join('. '),
    ...(verdict?.part ? { limit: { part: verdict.part, evidence: verdict.evidence } } : {}),
    verdict: verdict?.verdict ?? 'unknown',
  };
}

function workOf(run: number, done: number, total: number): RunningWork {
  return {
    kind: 'speed',
    run,
    drive: 'several drives',
    stage: `group ${Math.min(done + 1, total)} of ${total}`,
    state: 'running',
    erases: false,
    doneBytes: done,
    totalBytes: total,
    bytesPerSecond: null,
    secondsLeft: null,
    errors: 0,
  };
}

function refused(code: string, text: string): UserError {
  return new UserError(code, text, { exitCode: exitCodes.refusedForSafety });
}
