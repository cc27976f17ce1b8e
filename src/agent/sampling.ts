import { compareWithModel } from '../checks/model/compare.js';
import { nameParts } from '../checks/model/name-parts.js';
import type { BoxModel } from '../checks/model/parse.js';
import type { DriveSeen, Inventory, PartReadings } from '../checks/part.js';
import { absent } from '../checks/reading.js';
import type { Box } from './box/box.js';
import type { Clock } from './clock.js';
import { EnergyMeter } from './energy-meter.js';
import { instantNow } from './instant.js';
import { keepInventory, partsOf, toKeep } from './keep-inventory.js';
import { LogRound } from './log-round.js';
import { ManagementRound } from './management-round.js';
import {
  type ActivityCounters,
  activityReadings,
  hadRequests,
  readActivity,
} from './probes/activity.js';
import type { RefusalMemory } from './probes/asking-round.js';
import { collectPages } from './probes/collect-pages.js';
import { hourReadings } from './probes/hour-readings.js';
import { interpret } from './probes/interpret.js';
import { takeInventory } from './probes/inventory.js';
import { withMemoryTotals } from './probes/memory-totals.js';
import { readSurroundings } from './probes/surroundings.js';
import type { Instant, PartRow } from './store/rows.js';
import type { StoreWriter } from './store/store.js';

export interface SamplerParts {
  readonly box: Box;
  readonly clock: Clock;
  readonly store: StoreWriter;
  readonly boot: number;
  readonly model: BoxModel | null;
}

const emptyInventory: Inventory = {
  drives: [],
  controllers: [],
  sensorChips: [],
  emptyWhy: {},
  machine: { hostName: '', board: null, processor: null, memoryBytes: null, kernel: '' },
};

/** Our choice: what a box does for itself stays below this. */
const idlePercentMax = 5;

/** Reads the box and keeps what it read; one method for each kind of round. */
export class Sampler {
  readonly #parts: SamplerParts;
  readonly #refusals = new Map<string, RefusalMemory>();
  readonly #rareAsked = new Set<string>();
  readonly #activityAtHealth = new Map<string, ActivityCounters | null>();
  #inventory = emptyInventory;
  #remarks: readonly string[] = [];
  #activity: { counters: ActivityCounters; monoMs: number } | null = null;
  #inUse: ReadonlySet<string> = new Set();
  #busiestPercent: number | null = null;

  readonly #log: LogRound;
  readonly #energy = new EnergyMeter();
  readonly #management: ManagementRound;

  constructor(parts: SamplerParts) {
    this.#parts = parts;
    this.#log = new LogRound(parts);
    this.#management = new ManagementRound(parts);
  }

  get inventory(): Inventory {
    return this.#inventory;
  }

  /** What differs from the model, in words. */
  get remarks(): readonly string[] {
    return this.#remarks;
  }

  /** For each kind of part or record that is not there the reason why. */
  get emptyWhy(): Readonly<Record<string, string>> {
    const reasons = { 'kernel-log': this.#log.why, 'management-records': this.#management.why };
    const told = Object.entries(reasons).flatMap(([key, why]) =>
      why === null ? [] : [[key, why]],
    );
    return { ...this.#inventory.emptyWhy, ...Object.fromEntries(told) };
  }

  /** Finds the parts and keeps them; asks no drive. */
  async survey(): Promise<void> {
    const { box, model, store } = this.#parts;
    const found = await takeInventory(box);
    this.#inventory = model === null ? found : nameParts(model, found);
    this.#remarks = model === null ? [] : compareWithModel(model, found).map(({ text }) => text);
    keepInventory(store, this.#inventory, this.#now());
    await this.#log.learn(this.#inventory);
  }

  /** Sensors, links, network cards and the kernel's request counters; touches no medium. */
  async surroundings(): Promise<void> {
    const { box, clock } = this.#parts;
    const inventory = this.#inventory;
    const activity = await this.#activityRound();
    const groups = [
      activity,
      await readSurroundings(box, inventory, { inUse: this.#inUse }),
      await this.#energy.read(box, clock.bootMs()),
    ];
    const now = this.#now();
    this.#parts.store.together(() => {
      for (const part of byPart(groups.flat())) this.#keep(part, now);
    });
    await this.#log.read(this.#now());
  }

  /** Asks the board's controller; tells why not, or null when it was asked or is not there. */
  async management(): Promise<string | null> {
    const read = await this.#management.read(this.#inventory, () => this.#now());
    if (read === null) return null;
    const now = this.#now();
    this.#parts.store.together(() => {
      this.#keep(read.part, now);
      if (read.events !== null) this.#parts.store.keepEvents(now, read.events);
    });
    return this.#management.why;
  }

  /** Reads the health records of one drive, unless it sleeps. Raw pages are kept with a reason. */
  async driveHealth(
    drive: DriveSeen,
    options: { rawReason?: string | null } = {},
  ): Promise<PartReadings> {
    if (drive.notVisibleWhy !== null) return this.#keepHidden(drive, drive.notVisibleWhy);
    const { box, clock, store } = this.#parts;
    const rare = this.#wantsRare(drive);
    if (rare) this.#rareAsked.add(drive.identityKey);
    const { capture, asleep } = await collectPages(box, drive, {
      taken: new Date(clock.wallMs()).toISOString(),
      rare,
      skipIfAsleep: true,
      refusals: this.#refusalsOf(drive),
    });
    if (asleep) this.#rareAsked.delete(drive.identityKey);
    this.#activityAtHealth.set(drive.identityKey, this.#activity?.counters ?? null);
    const now = this.#now();
    const found = interpret(capture);
    const readings = [...found.readings, ...hourReadings(found)];
    const part = { identityKey: drive.identityKey, readings };
    const row = this.#keep(part, now);
    if (row === null || asleep) return part;
    const isNew = store.rawPages(row.id).length === 0;
    const reason = options.rawReason ?? (isNew ? 'arrival' : null);
    if (reason !== null) store.keepRawPages(row.id, now, reason, capture);
    return part;
  }

  /** No drive was busy for more than a twentieth of the time between the last two looks. */
  get isIdle(): boolean {
    return this.#busiestPercent !== null && this.#busiestPercent <= idlePercentMax;
  }

  /** Whether requests reached the drive since its health was last read here. */
  usedSinceHealth(drive: DriveSeen): boolean {
    if (!this.#activityAtHealth.has(drive.identityKey)) return true;
    const before = this.#activityAtHealth.get(drive.identityKey);
    const after = this.#activity?.counters;
    if (before === null || before === undefined || after === undefined) return false;
    return hadRequests(before, after, drive.identityKey);
  }

  /** Long logs are asked for once, when idle, whatever comes of it; a sleeper keeps its turn. */
  #wantsRare(drive: DriveSeen): boolean {
    return this.isIdle && !this.#rareAsked.has(drive.identityKey);
  }

  #now(): Instant {
    return instantNow(this.#parts.clock, this.#parts.boot);
  }

  #refusalsOf(drive: DriveSeen): RefusalMemory {
    const known = this.#refusals.get(drive.identityKey) ?? new Map();
    this.#refusals.set(drive.identityKey, known);
    return known;
  }

  async #activityRound(): Promise<readonly PartReadings[]> {
    const counters = await readActivity(this.#parts.box, this.#inventory);
    const monoMs = this.#parts.clock.bootMs();
    const before = this.#activity;
    this.#activity = { counters, monoMs };
    if (before === null || monoMs <= before.monoMs) return [];
    const keys = this.#inventory.drives.map(({ identityKey }) => identityKey);
    this.#inUse = new Set(keys.filter((key) => hadRequests(before.counters, counters, key)));
    const parts = activityReadings(before.counters, counters, (monoMs - before.monoMs) / 1000);
    const shares = parts
      .flatMap(({ readings }) => readings)
      .flatMap(({ metric, value }) => (metric === 'busy-share' && value !== null ? [value] : []));
    this.#busiestPercent = shares.length === 0 ? null : Math.max(...shares);
    return parts;
  }

  #keepHidden(drive: DriveSeen, why: string): PartReadings {
    const source = 'Kernel device tree';
    const readings = [
      absent({ metric: 'temperature', unit: 'celsius', source }, 'not-visible', why),
      absent({ metric: 'power-on-hours', unit: 'hours', source }, 'not-visible', why),
    ];
    const part = { identityKey: drive.identityKey, readings };
    this.#keep(part, this.#now());
    return part;
  }

  #keep(part: PartReadings, now: Instant): PartRow | null {
    const seen = partsOf(this.#inventory).find((one) => one.identityKey === part.identityKey);
    if (seen === undefined || part.readings.length === 0) return null;
    const { store } = this.#parts;
    const row = store.keepPart(toKeep(seen), now);
    const { readings } = part;
    const isMemory = seen.kind === 'memory';
    const kept = isMemory ? withMemoryTotals(readings, store.latest(row.id), now) : readings;
    store.keepReadings(row.id, now, kept);
    return row;
  }
}

/** What several probes read of one part, together. */
function byPart(groups: readonly PartReadings[]): readonly PartReadings[] {
  const keys = [...new Set(groups.map(({ identityKey }) => identityKey))];
  return keys.map((identityKey) => ({
    identityKey,
    readings: groups
      .filter((one) => one.identityKey === identityKey)
      .flatMap(({ readings }) => readings),
  }));
}
