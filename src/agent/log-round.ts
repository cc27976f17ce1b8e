import type { Inventory } from '../checks/part.js';
import type { Box } from './box/box.js';
import type { Clock } from './clock.js';
import { type LogCarried, logEvents, nothingCarried } from './probes/log-events.js';
import { type LogPlace, logPlaces } from './probes/log-places.js';
import { type LogMoment, onBootClock } from './probes/log-time.js';
import type { Instant } from './store/rows.js';
import type { StoreWriter } from './store/store.js';

export interface LogRoundParts {
  readonly box: Box;
  readonly store: StoreWriter;
  readonly boot: number;
  /** Without one that tells how long the box was suspended, it never was. */
  readonly clock?: Clock;
}

/** Reads the kernel's log from where it was read before and keeps what it says of parts. */
export class LogRound {
  readonly #box: Box;
  readonly #store: StoreWriter;
  readonly #boot: number;
  readonly #clock: Clock | null;
  #places: readonly LogPlace[] = [];
  #carried: LogCarried | null = null;
  #why: string | null = null;

  #before: LogMoment | null = null;
  #reading: Promise<void> | null = null;

  constructor(parts: LogRoundParts) {
    this.#box = parts.box;
    this.#store = parts.store;
    this.#boot = parts.boot;
    this.#clock = parts.clock ?? null;
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

  /** Who asks while the log is being read waits for that reading. */
  async read(now: Instant): Promise<void> {
    this.#reading ??= this.#read(now).finally(() => {
      this.#reading = null;
    });
    await this.#reading;
  }

  async #read(now: Instant): Promise<void> {
    if (this.#box.kernelLog === undefined) return;
    const afterSequence = this.#store.logReadTo(this.#boot);
    const answer = await this.#box.kernelLog(afterSequence);
    this.#why = answer.ok ? null : `The kernel’s log cannot be read: ${answer.absence.text}`;
    if (!answer.ok) return;
    const before = this.#before;
    this.#before = { bootMs: now.monoMs, suspendedMs: this.#suspendedMs() };
    if (answer.value.length === 0) return;
    const { events, carried } = logEvents({
      records: onBootClock(answer.value, { before, now: this.#before }),
      afterSequence,
      places: this.#places,
      carried: this.#carried ?? this.#startOf(afterSequence),
    });
    this.#carried = carried;
    const logReadTo = answer.value.at(-1)?.sequence ?? afterSequence;
    this.#store.keepEvents(now, { events, logReadTo });
  }

  /** After a restart in the middle of a boot, ports with a drive are those that had one ready. */
  #startOf(afterSequence: number): LogCarried {
    if (afterSequence < 0) return nothingCarried;
    const known = this.#places.flatMap(({ names }) =>
      names.filter(({ by }) => by === 'ata-port' || by === 'scsi-address'),
    );
    return { ...nothingCarried, linked: new Set(known.map(({ name }) => name)) };
  }

  /** /proc/uptime has steps of 10 ms, so that less than a second is no suspend. */
  #suspendedMs(): number {
    const awakeMs = this.#clock?.awakeMs?.();
    if (awakeMs === undefined || this.#clock === null) return 0;
    const suspendedMs = this.#clock.bootMs() - awakeMs;
    return suspendedMs < 1000 ? 0 : suspendedMs;
  }
}

function nameKey({ by, name }: LogPlace['names'][number]): string {
  return `${by} ${name}`;
}
