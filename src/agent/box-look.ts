import { compareWithModel } from '../checks/model/compare.js';
import { nameParts } from '../checks/model/name-parts.js';
import type { BoxModel } from '../checks/model/parse.js';
import type { DriveSeen, Inventory } from '../checks/part.js';
import type { Box } from './box/box.js';
import type { Clock } from './clock.js';
import { instantNow } from './instant.js';
import { keepInventory } from './keep-inventory.js';
import { Newcomers } from './newcomers.js';
import { boxMarks } from './probes/box-marks.js';
import { takeInventory } from './probes/inventory.js';
import type { StoreWriter } from './store/store.js';

export interface BoxLookParts {
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

/** What the newest look at the box found. No drive is asked anything by a look. */
export class BoxLook {
  readonly #parts: BoxLookParts;
  #inventory = emptyInventory;
  #remarks: readonly string[] = [];
  #marks: string | null = null;
  #looking: Promise<readonly DriveSeen[]> = Promise.resolve([]);
  readonly newcomers = new Newcomers();

  constructor(parts: BoxLookParts) {
    this.#parts = parts;
  }

  get inventory(): Inventory {
    return this.#inventory;
  }

  /** What differs from the model, in words. */
  get remarks(): readonly string[] {
    return this.#remarks;
  }

  /** Whether a disk came or went since the newest look. */
  async hasChanged(): Promise<boolean> {
    return this.#marks !== (await boxMarks(this.#parts.box));
  }

  /**
   * Finds the parts and keeps them, one look after the other; gives the drives that came, or came
   * back, since the look before in this boot.
   */
  take(): Promise<readonly DriveSeen[]> {
    const look = () => this.#take();
    this.#looking = this.#looking.then(look, look);
    return this.#looking;
  }

  async #take(): Promise<readonly DriveSeen[]> {
    const { box, clock, store, boot, model } = this.#parts;
    // The marks come first: what changes while the look is taken differs from them afterwards.
    const marks = await boxMarks(box);
    const found = await takeInventory(box);
    const isFirst = this.#marks === null;
    const came = isFirst ? [] : this.newcomers.compare(this.#inventory.drives, found.drives);
    this.#marks = marks;
    this.#inventory = model === null ? found : nameParts(model, found);
    this.#remarks = model === null ? [] : compareWithModel(model, found).map(({ text }) => text);
    keepInventory(store, this.#inventory, instantNow(clock, boot));
    return came;
  }
}
