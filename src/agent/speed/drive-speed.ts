import type { DriveSeen } from '../../checks/part.js';
import type { SpeedResult } from '../../checks/speed-result.js';
import { exitCodes, UserError } from '../../checks/user-error.js';
import type { Box } from '../box/box.js';
import type { Clock } from '../clock.js';
import { instantNow } from '../instant.js';
import type { StoreWriter } from '../store/store.js';
import { expectedOf } from '../workers/prove-drive.js';
import type { StartWorker, Worker, WorkerResult } from '../workers/worker.js';
import { arraysThatNeedRest } from './array-rest.js';
import { deviatingPlaces, type ExpectationAt, middleOf, verdictOf } from './deviating.js';
import type { PlaceResult } from './measure-places.js';
import { speedPlaces } from './places.js';

export interface SpeedParts {
  readonly box: Box;
  readonly clock: Clock;
  readonly store: Pick<StoreWriter, 'nextSpeedRun' | 'keepSpeed' | 'beginBoot'>;
  readonly startWorker: StartWorker;
  /** Whether the drive sleeps now; asked without waking it. */
  readonly isAsleep: (drive: DriveSeen) => Promise<boolean>;
  /** Conditions that only the parent knows; null where it does not. */
  readonly conditions: (
    drive: DriveSeen,
  ) => Promise<Pick<SpeedResult['conditions'], 'temperature' | 'linkSpeed' | 'lanes'>>;
}

export interface SpeedOrder {
  readonly drive: DriveSeen;
  readonly partId: number;
  /** A burn-in works on this drive now. */
  readonly isBusy: boolean;
  readonly wake: boolean;
  readonly expectedAt: ExpectationAt;
  readonly limitAt?: (place: number) => SpeedResult['limit'] | null;
  /** Told after each place: places done, places in all. */
  readonly onPlace?: (done: number, total: number) => void;
}

/** A measurement under way. */
export interface SpeedRun {
  readonly run: number;
  readonly done: Promise<readonly SpeedResult[]>;
  cancel(): void;
}

/** How often a place that deviates is measured again. */
const repeats = 2;

/** Refuses when measuring would hurt or tell nothing; otherwise starts and gives the run. */
export async function measureDrive(parts: SpeedParts, order: SpeedOrder): Promise<SpeedRun> {
  const reason = await whyNot(parts, order);
  if (reason !== null) {
    throw new UserError(reason.code, reason.text, {
      exitCode: exitCodes.refusedForSafety,
      ...(reason.hint === undefined ? {} : { hint: reason.hint }),
    });
  }
  const measuring = new Measuring(parts, order);
  return { run: measuring.run, done: measuring.measure(), cancel: () => measuring.cancel() };
}

interface WhyNot {
  readonly code: string;
  readonly text: string;
  readonly hint?: string;
}

async function whyNot(parts: SpeedParts, order: SpeedOrder): Promise<WhyNot | null> {
  if (order.isBusy) return { code: 'busy', text: 'A burn-in works on this drive now' };
  const arrays = await arraysThatNeedRest(parts.box);
  if (arrays.length > 0) {
    const hint = 'Measure again when the arrays are whole and idle';
    return { code: 'arrays-need-rest', text: arrays.join('. '), hint };
  }
  if (speedPlaces(order.drive.capacityBytes).places.length === 0) {
    return { code: 'too-small', text: 'The drive is too small to be measured at 16 places' };
  }
  if (!order.wake && (await parts.isAsleep(order.drive))) {
    return {
      code: 'asleep',
      text: 'The drive sleeps and is not woken for this',
      hint: 'Use --wake',
    };
  }
  return null;
}

class Measuring {
  readonly run: number;
  private readonly boot: number;
  private worker: Worker | null = null;
  private isCancelled = false;

  constructor(
    private readonly parts: SpeedParts,
    private readonly order: SpeedOrder,
  ) {
    this.run = parts.store.nextSpeedRun();
    this.boot = parts.store.beginBoot(parts.clock.bootId, parts.clock.wallMs());
  }

  cancel(): void {
    this.isCancelled = true;
    this.worker?.cancel();
  }

  async measure(): Promise<readonly SpeedResult[]> {
    const { places } = speedPlaces(this.order.drive.capacityBytes);
    const conditions = await this.parts.conditions(this.order.drive);
    const taken = new Map<number, PlaceResult[]>(places.map((place) => [place, []]));
    const ends = [await this.pass(places, taken)];
    const first = places.flatMap((place) => taken.get(place)?.[0] ?? []);
    const again = deviatingPlaces(first, this.order.expectedAt);
    for (let repeat = 0; repeat < repeats && again.length > 0 && !this.isCancelled; repeat += 1) {
      ends.push(await this.pass(again, taken));
    }
    const bad = ends.find(({ reason }) => reason !== 'done');
    return places.map((place) => {
      const kept = middleOf(taken.get(place) ?? []) ?? notReached(place, bad?.text);
      return this.keep({ ...kept, conditions: { ...kept.conditions, ...conditions } });
    });
  }

  private async pass(
    places: readonly number[],
    taken: ReadonlyMap<number, PlaceResult[]>,
  ): Promise<WorkerResult> {
    const { drive, onPlace } = this.order;
    const { bytesPerPlace } = speedPlaces(drive.capacityBytes);
    let done = 0;
    const worker = this.parts.startWorker(
      { do: 'speed', drive: expectedOf(drive), places, bytesPerPlace },
      {
        onMessage: (message) => {
          if (!('speed' in message) || message.speed.place === undefined) return;
          taken.get(message.speed.place)?.push(message.speed);
          done += 1;
          onPlace?.(done, places.length);
        },
      },
    );
    this.worker = worker;
    const result = await worker.ended;
    this.worker = null;
    return result;
  }

  private keep(result: PlaceResult): SpeedResult {
    const { drive, partId, expectedAt, limitAt } = this.order;
    const limit = result.place === undefined ? null : (limitAt?.(result.place) ?? null);
    const kept: SpeedResult = {
      ...result,
      run: this.run,
      path: `drive:${drive.id}`,
      verdict: verdictOf(result, expectedAt),
      ...(limit === null ? {} : { limit }),
    };
    this.parts.store.keepSpeed(partId, instantNow(this.parts.clock, this.boot), kept);
    return kept;
  }
}

function notReached(place: number, why: string | undefined): PlaceResult {
  return {
    direction: 'read',
    streams: 1,
    place,
    bytesPerSecond: null,
    low: null,
    high: null,
    seconds: 0,
    conditions: { temperature: null, otherLoad: null, linkSpeed: null, lanes: null },
    complete: false,
    reason: why ?? 'The measurement ended before this place',
  };
}
