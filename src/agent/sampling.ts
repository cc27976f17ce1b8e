import { compareWithModel } from '../checks/model/compare.js';
import { nameParts } from '../checks/model/name-parts.js';
import type { BoxModel } from '../checks/model/parse.js';
import type { DriveSeen, Inventory, PartReadings, PartSeen } from '../checks/part.js';
import { absent, measured, type Reading } from '../checks/reading.js';
import type { Box } from './box/box.js';
import type { Clock } from './clock.js';
import { instantNow } from './instant.js';
import {
  type ActivityCounters,
  activityReadings,
  hadRequests,
  readActivity,
} from './probes/activity.js';
import { collectPages } from './probes/collect-pages.js';
import { interpret } from './probes/interpret.js';
import { takeInventory } from './probes/inventory.js';
import { readLinks } from './probes/links.js';
import { readNetwork } from './probes/network.js';
import { readSensors } from './probes/sensors.js';
import type { PartRow } from './store/rows.js';
import type { StoreWriter } from './store/store.js';

export interface SamplerParts {
  readonly box: Box;
  readonly clock: Clock;
  readonly store: StoreWriter;
  readonly boot: number;
  readonly model: BoxModel | null;
}

/** Reads the box and keeps what it read. Each method is one round; rounds never overlap. */
export interface Sampler {
  inventory(): Inventory;
  remarks(): readonly string[];
  survey(): Promise<void>;
  surroundings(): Promise<void>;
  /** Reads the health of all drives, or of one by its part id. */
  driveHealth(options?: { only?: string; takeRawPages?: string }): Promise<void>;
}

const idleHealthPeriodMs = 2 * 3600_000;

export async function createSampler(parts: SamplerParts): Promise<Sampler> {
  const sampler = new BoxSampler(parts);
  await sampler.survey();
  return sampler;
}

class BoxSampler implements Sampler {
  readonly #parts: SamplerParts;
  #inventory: Inventory = {
    drives: [],
    controllers: [],
    sensorChips: [],
    emptyWhy: {},
    machine: { hostName: '', board: null, processor: null, memoryBytes: null, kernel: '' },
  };
  #remarks: readonly string[] = [];
  #activity: ActivityCounters | null = null;
  #activityMonoMs = 0;
  readonly #healthRead = new Map<string, { monoMs: number; activity: ActivityCounters | null }>();

  constructor(parts: SamplerParts) {
    this.#parts = parts;
  }

  inventory(): Inventory {
    return this.#inventory;
  }

  remarks(): readonly string[] {
    return this.#remarks;
  }

  async survey(): Promise<void> {
    const { box, model, store } = this.#parts;
    const found = await takeInventory(box);
    this.#inventory = model === null ? found : nameParts(model, found);
    this.#remarks = model === null ? [] : compareWithModel(model, found).map(({ text }) => text);
    const now = this.#now();
    for (const part of partsOf(this.#inventory)) store.keepPart(toKeep(part), now);
  }

  async surroundings(): Promise<void> {
    const { box } = this.#parts;
    const inventory = this.#inventory;
    const groups = [
      await readSensors(box, inventory),
      await readLinks(box, inventory),
      await readNetwork(box, inventory),
      await this.#activityRound(),
    ];
    const now = this.#now();
    for (const part of groups.flat()) this.#keep(part, now);
  }

  async driveHealth(options: { only?: string; takeRawPages?: string } = {}): Promise<void> {
    const wanted = this.#inventory.drives.filter(
      (drive) => drive.notVisibleWhy === null && this.#wantsHealth(drive, options.only),
    );
    await Promise.all(wanted.map((drive) => this.#readDrive(drive, options.takeRawPages)));
    for (const drive of this.#inventory.drives) {
      if (drive.notVisibleWhy !== null) this.#keepHidden(drive, drive.notVisibleWhy);
    }
  }

  #now() {
    return instantNow(this.#parts.clock, this.#parts.boot);
  }

  async #activityRound(): Promise<readonly PartReadings[]> {
    const after = await readActivity(this.#parts.box, this.#inventory);
    const monoMs = this.#parts.clock.bootMs();
    const before = this.#activity;
    const seconds = (monoMs - this.#activityMonoMs) / 1000;
    this.#activity = after;
    this.#activityMonoMs = monoMs;
    return before === null || seconds <= 0 ? [] : activityReadings(before, after, seconds);
  }

  /** A drive nobody used since its last reading is left alone, so that it can fall asleep. */
  #wantsHealth(drive: DriveSeen, only: string | undefined): boolean {
    if (only !== undefined) return drive.id === only;
    const last = this.#healthRead.get(drive.identityKey);
    if (last === undefined) return true;
    const agoMs = this.#parts.clock.bootMs() - last.monoMs;
    if (agoMs >= idleHealthPeriodMs) return true;
    if (last.activity === null || this.#activity === null) return true;
    return hadRequests(last.activity, this.#activity, drive.identityKey);
  }

  async #readDrive(drive: DriveSeen, rawReason: string | undefined): Promise<void> {
    const { box, clock, store } = this.#parts;
    const known = store.partByName(drive.id);
    const { capture } = await collectPages(box, drive, {
      taken: new Date(clock.wallMs()).toISOString(),
      rare: false,
      skipIfAsleep: true,
    });
    this.#healthRead.set(drive.identityKey, { monoMs: clock.bootMs(), activity: this.#activity });
    const now = this.#now();
    const row = this.#keep(
      { identityKey: drive.identityKey, readings: interpret(capture).readings },
      now,
    );
    const reason = rawReason ?? (known === null || isFirstLook(store, known) ? 'arrival' : null);
    if (row !== null && reason !== null) store.keepRawPages(row.id, now, reason, capture);
  }

  #keepHidden(drive: DriveSeen, why: string): void {
    const source = 'Kernel device tree';
    const readings: Reading[] = [
      absent({ metric: 'temperature', unit: 'celsius', source }, 'not-visible', why),
      absent({ metric: 'power-on-hours', unit: 'hours', source }, 'not-visible', why),
    ];
    this.#keep({ identityKey: drive.identityKey, readings }, this.#now());
  }

  #keep(part: PartReadings, now: ReturnType<typeof instantNow>): PartRow | null {
    const seen = partsOf(this.#inventory).find((one) => one.identityKey === part.identityKey);
    if (seen === undefined || part.readings.length === 0) return null;
    const row = this.#parts.store.keepPart(toKeep(seen), now);
    this.#parts.store.keepReadings(row.id, now, part.readings);
    return row;
  }
}

function isFirstLook(store: StoreWriter, part: PartRow): boolean {
  return store.rawPages(part.id).length === 0;
}

function partsOf(inventory: Inventory): readonly PartSeen[] {
  return [...inventory.drives, ...inventory.controllers, ...inventory.sensorChips];
}

function toKeep(part: PartSeen) {
  return {
    kind: part.kind,
    identityKey: part.identityKey,
    name: part.id,
    label: part.kind === 'drive' ? part.model : part.label,
    details: { ...part },
  };
}
