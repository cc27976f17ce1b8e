import type { Inventory } from '../checks/part.js';
import type { Box } from './box/box.js';
import { type LogCarried, logEvents, nothingCarried } from './probes/log-events.js';
import { type LogPlace, logPlaces } from './probes/log-places.js';
import type { Instant } from './store/rows.js';
import type { StoreWriter } from './store/store.js';

/** Reads the kernel's log from where it was read before and keeps what it says of parts. */
export class LogRound {
  readonly #box: Box;
  readonly #store: StoreWriter;
  readonly #boot: number;
  #places: readonly LogPlace[] = [];
  #carried: LogCarried | null = null;
  #why: string | null = null;

  constructor(parts: { readonly box: Box; readonly store: StoreWriter; readonly boot: number }) {
    this.#box = parts.box;
    this.#store = parts.store;
    this.#boot = parts.boot;
  }

  /** Why the log was not read, or null when it was. */
  get why(): string | null {
    return this.#why;
  }

  /**
   * Learns how the kernel names the parts now. Names of parts that are gone are kept unless another
   * part has them, so that what the log says of the end of a drive finds it.
   */
  async learn(inventory: Inventory): Promise<void> {
    const now = await logPlaces(this.#box, inventory);
    const known = new Set(now.map(({ identityKey }) => identityKey));
    const taken = new Set(now.flatMap(({ names }) => names.map(nameKey)));
    const gone = this.#places
      .filter(({ identityKey }) => !known.has(identityKey))
      .map((place) => ({
        ...place,
        names: place.names.filter((name) => !taken.has(nameKey(name))),
      }));
    this.#places = [...now, ...gone];
  }

  async read(now: Instant): Promise<void> {
    if (this.#box.kernelLog === undefined) return;
    const afterSequence = this.#store.logReadTo(this.#boot);
    const answer = await this.#box.kernelLog(afterSequence);
    this.#why = answer.ok ? null : `The kernel’s log cannot be read: ${answer.absence.text}`;
    if (!answer.ok || answer.value.length === 0) return;
    const { events, carried } = logEvents({
      records: answer.value,
      afterSequence,
      places: this.#places,
      carried: this.#carried ?? this.#startOf(afterSequence),
    });
    this.#carried = carried;
    const logReadTo = answer.value.at(-1)?.sequence ?? afterSequence;
    this.#store.keepEvents(now, { events, logReadTo });
  }

  /** After a restart in the middle of a boot, ports with a drive are those that had a link. */
  #startOf(afterSequence: number): LogCarried {
    if (afterSequence < 0) return nothingCarried;
    const ports = this.#places.flatMap(({ names }) => names.filter(({ by }) => by === 'ata-port'));
    return { ...nothingCarried, linked: new Set(ports.map(({ name }) => name)) };
  }
}

function nameKey({ by, name }: LogPlace['names'][number]): string {
  return `${by} ${name}`;
}
