import type { Capture } from '../checks/capture.js';
import type { DriveSeen, Inventory, PartReadings } from '../checks/part.js';
import { ArrayWatch } from './array-watch.js';
import { BoxLook, type BoxLookParts } from './box-look.js';
import { byPart } from './by-part.js';
import { type Depth, DriveAsking } from './drive-asking.js';
import { EnergyMeter } from './energy-meter.js';
import {
  type HealthRead,
  isGentle,
  isTemperature,
  whyNotAll,
  withoutFigure,
} from './health-read.js';
import { instantNow } from './instant.js';
import { partsOf, toKeep } from './keep-inventory.js';
import { LogRound } from './log-round.js';
import { ManagementRound } from './management-round.js';
import { ModuleRound } from './module-round.js';
import {
  type ActivityCounters,
  activityReadings,
  hadRequests,
  readActivity,
} from './probes/activity.js';
import { hourReadings } from './probes/hour-readings.js';
import type { Learned } from './probes/interpretation.js';
import { drivesWithSensor } from './probes/sensors.js';
import { readSurroundings } from './probes/surroundings.js';
import { learnedOf } from './probes/watch-hours.js';
import { jobKey } from './schedule/jobs.js';
import { isWorthSecondLook } from './second-look.js';
import type { Instant, PartRow } from './store/rows.js';
import { StoredDrives } from './stored-drives.js';
import { withMemory } from './with-memory.js';

interface AskOptions {
  readonly mayWake?: boolean;
  readonly learned?: Learned;
}

/** What was read of a part, and of a drive the bytes that it was read from. */
type ReadPart = PartReadings & { readonly capture?: Capture };

/** Our choice: what a box does for itself stays below this. */
const idlePercentMax = 5;

/** Reads the box and keeps what it read; one method for each kind of round. */
export class Sampler {
  readonly #parts: BoxLookParts;
  readonly #look: BoxLook;
  readonly #asking: DriveAsking;
  readonly #stored: StoredDrives;
  /** Tells when an array is not as it was, between two readings. */
  readonly arrayWatch: ArrayWatch;
  readonly #activityAtReading = new Map<string, ActivityCounters | null>();
  #activity: { counters: ActivityCounters; monoMs: number } | null = null;
  #inUse: ReadonlySet<string> = new Set();
  #busiestPercent: number | null = null;
  /** Reasons to keep raw pages that wait for the next full reading, by drive. */
  readonly #reasonsOwed = new Map<string, string>();

  readonly #log: LogRound;
  readonly #energy = new EnergyMeter();
  readonly #modules = new ModuleRound();
  readonly #management: ManagementRound;

  constructor(parts: BoxLookParts) {
    this.#parts = parts;
    this.#look = new BoxLook(parts);
    this.#asking = new DriveAsking(parts);
    this.#stored = new StoredDrives(parts.store);
    this.arrayWatch = new ArrayWatch(parts.box);
    this.#log = new LogRound(parts);
    this.#management = new ManagementRound(parts);
  }

  get inventory(): Inventory {
    return this.#look.inventory;
  }

  /** What differs from the model, in words. */
  get remarks(): readonly string[] {
    return this.#look.remarks;
  }

  /** For each kind of part or record that is not there the reason why. */
  get emptyWhy(): Readonly<Record<string, string>> {
    const reasons = { 'kernel-log': this.#log.why, 'management-records': this.#management.why };
    const told = Object.entries(reasons).flatMap(([key, why]) =>
      why === null ? [] : [[key, why]],
    );
    return { ...this.inventory.emptyWhy, ...Object.fromEntries(told) };
  }

  /** Finds the parts and keeps them; asks no drive. */
  async survey(): Promise<void> {
    const came = await this.#look.take();
    // What was known of a drive's requests ended when it went.
    for (const { identityKey } of came) this.#activityAtReading.delete(identityKey);
    await this.#log.learn(this.inventory);
    await this.readLog();
  }

  /** The kernel's log holds a few thousand lines: one that fails fills it in minutes. */
  async readLog(): Promise<void> {
    await this.#log.read(this.#now());
  }

  /** Keys of jobs that something new in the box makes due at once. */
  async dueNow(): Promise<ReadonlySet<string>> {
    const { newcomers } = this.#look;
    const keys = newcomers.unread.map((id) => jobKey('drive-health', id));
    if (newcomers.hasUnfelt) keys.push(jobKey('temperatures', null));
    if (await this.#look.hasChanged()) keys.push(jobKey('inventory', null));
    return new Set(keys);
  }

  /** Sensors, links, network cards and the kernel's request counters; touches no medium. */
  async surroundings(): Promise<void> {
    const { box, clock } = this.#parts;
    const inventory = this.inventory;
    const activity = await this.#activityRound();
    const groups = [
      activity,
      await readSurroundings(box, inventory, { mayAsk: (drive) => this.#mayAskSensor(drive) }),
      await this.#energy.read(box, clock.bootMs()),
      await this.#modules.read(box, inventory, clock.bootMs()),
    ];
    const now = this.#now();
    this.#parts.store.together(() => {
      for (const part of byPart(groups.flat())) this.#keep(part, now);
    });
    await this.readLog();
  }

  /** Asks the board's controller; tells why not, or null when it was asked or is not there. */
  async management(): Promise<string | null> {
    const read = await this.#management.read(this.inventory, () => this.#now());
    if (read === null) return null;
    const now = this.#now();
    this.#parts.store.together(() => {
      this.#keep(read.part, now);
      if (read.events !== null) this.#parts.store.keepEvents(now, read.events);
    });
    return this.#management.why;
  }

  /**
   * How warm the drives are that somebody uses, from one record each. A drive that nobody used
   * since it was last read is left alone, so that it can fall asleep; one whose temperature the
   * kernel’s own sensor gives is read there, with the surroundings.
   */
  async temperatures(): Promise<void> {
    const { box, store } = this.#parts;
    this.#look.newcomers.felt();
    const bySensor = await drivesWithSensor(box, this.inventory);
    const wanted = this.inventory.drives.filter(
      (drive) =>
        drive.notVisibleWhy === null &&
        !bySensor.has(drive.identityKey) &&
        this.#usedSinceReading(drive),
    );
    const read = await Promise.all(wanted.map((drive) => this.#temperatureOf(drive)));
    const now = this.#now();
    store.together(() => {
      for (const part of read) if (part !== null) this.#keep(part, now);
    });
  }

  async #temperatureOf(drive: DriveSeen): Promise<ReadPart | null> {
    const asked = await this.#ask(drive, 'temperature');
    if (asked.kind === 'later') return null;
    const { identityKey } = drive;
    if (asked.kind === 'none') {
      return { identityKey, readings: [withoutFigure('temperature', 'no-figure', asked.why)] };
    }
    this.#activityAtReading.set(identityKey, this.#activity?.counters ?? null);
    const { found, capture } = asked;
    return { identityKey, readings: found.readings.filter(isTemperature), capture };
  }

  /**
   * Reads the health records of one drive, unless it sleeps. Raw pages are kept with a reason.
   * Null when the drive is at work: then it is to be tried again at the next occasion.
   */
  async driveHealth(
    drive: DriveSeen,
    options: { rawReason?: string | null; rare?: boolean; mayWake?: boolean } = {},
  ): Promise<HealthRead | null> {
    const { identityKey } = drive;
    const isNewcomer = this.#look.newcomers.read(drive);
    if (drive.notVisibleWhy !== null) {
      return this.#keepWithout(drive, 'not-visible', drive.notVisibleWhy);
    }
    const reasonOwed = options.rawReason ?? this.#reasonsOwed.get(identityKey) ?? null;
    const depth = options.rare === true ? 'rare' : 'counters';
    const latest = this.#stored.latestOf(identityKey);
    const learned = learnedOf(latest);
    const asked = await this.#ask(drive, depth, { mayWake: options.mayWake === true, learned });
    if (asked.kind !== 'answered' || asked.gentle) {
      if (reasonOwed !== null) this.#reasonsOwed.set(identityKey, reasonOwed);
    } else {
      this.#reasonsOwed.delete(identityKey);
    }
    if (asked.kind === 'later') {
      if (isNewcomer) this.#look.newcomers.putOff(drive);
      return null;
    }
    if (asked.kind === 'none') return this.#keepWithout(drive, 'no-figure', asked.why);
    this.#activityAtReading.set(identityKey, this.#activity?.counters ?? null);
    const { found, gentle, asleep, capture } = asked;
    const readings = gentle
      ? found.readings.filter(isGentle)
      : [...found.readings, ...hourReadings(found)];
    const secondLook = isWorthSecondLook(latest, readings);
    const part = { identityKey, readings, whyNot: whyNotAll(asked), secondLook };
    const now = this.#now();
    const row = this.#keep({ ...part, capture }, now);
    if (row === null || asleep || gentle) return part;
    const { store } = this.#parts;
    const reason = reasonOwed ?? (this.#stored.hasPages(row.id) ? null : 'arrival');
    if (reason !== null) store.keepRawPages(row.id, now, reason, capture);
    return part;
  }

  /** The long logs, once in a boot; the reason why not, or null when that is settled. */
  async rareLogs(drive: DriveSeen): Promise<string | null> {
    if (drive.notVisibleWhy !== null || this.#asking.whyNotRare(drive) !== null) return null;
    const read = await this.driveHealth(drive, { rare: true });
    return read === null ? 'The drive is at work' : read.whyNot;
  }

  /** No drive was busy for more than a twentieth of the time between the last two looks. */
  get isIdle(): boolean {
    return this.#busiestPercent !== null && this.#busiestPercent <= idlePercentMax;
  }

  #usedSinceReading({ identityKey }: DriveSeen): boolean {
    if (!this.#activityAtReading.has(identityKey)) return true;
    const before = this.#activityAtReading.get(identityKey);
    const after = this.#activity?.counters;
    if (before === null || before === undefined || after === undefined) return false;
    return hadRequests(before, after, identityKey);
  }

  #ask(drive: DriveSeen, depth: Depth, { mayWake = false, learned = {} }: AskOptions = {}) {
    const usedLately = mayWake || this.#inUse.has(drive.identityKey);
    return this.#asking.ask(drive, { depth, inventory: this.inventory, usedLately, learned });
  }

  /** Reading the kernel's sensor of a disk is a command to it. */
  async #mayAskSensor(drive: DriveSeen): Promise<boolean> {
    if (!this.#inUse.has(drive.identityKey)) return false;
    return this.#asking.isQuiet(drive, this.inventory);
  }

  #now(): Instant {
    return instantNow(this.#parts.clock, this.#parts.boot);
  }

  async #activityRound(): Promise<readonly PartReadings[]> {
    const counters = await readActivity(this.#parts.box, this.inventory);
    const monoMs = this.#parts.clock.bootMs();
    const before = this.#activity;
    this.#activity = { counters, monoMs };
    if (before === null || monoMs <= before.monoMs) return [];
    const keys = this.inventory.drives.map(({ identityKey }) => identityKey);
    this.#inUse = new Set(keys.filter((key) => hadRequests(before.counters, counters, key)));
    const parts = activityReadings(before.counters, counters, (monoMs - before.monoMs) / 1000);
    const shares = parts
      .flatMap(({ readings }) => readings)
      .flatMap(({ metric, value }) => (metric === 'busy-share' && value !== null ? [value] : []));
    this.#busiestPercent = shares.length === 0 ? null : Math.max(...shares);
    return parts;
  }

  #keepWithout(drive: DriveSeen, state: 'no-figure' | 'not-visible', why: string): HealthRead {
    const metrics = ['temperature', 'power-on-hours'] as const;
    const readings = metrics.map((metric) => withoutFigure(metric, state, why));
    const part = { identityKey: drive.identityKey, readings };
    this.#keep(part, this.#now());
    return { ...part, whyNot: state === 'not-visible' ? null : why, secondLook: false };
  }

  #keep(part: ReadPart, now: Instant): PartRow | null {
    const seen = partsOf(this.inventory).find((one) => one.identityKey === part.identityKey);
    if (seen === undefined || part.readings.length === 0) return null;
    const { store } = this.#parts;
    return store.together(() => {
      const row = store.keepPart(toKeep(seen), now);
      const { readings, capture } = part;
      store.keepReadings(row.id, now, withMemory(seen.kind, readings, { store, row, now }));
      if (capture !== undefined) store.keepNewestPages(row.id, now, capture);
      return row;
    });
  }
}
