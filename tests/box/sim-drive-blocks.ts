import {
  type Answer,
  answered,
  type BlockHandle,
  missing,
  type OpenOptions,
} from '../../src/agent/box/box.js';
import type { SimParts } from './sim-drive-time.js';
import { rateAt, seededChance } from './sim-speed.js';

const chunkBytes = 64 * 1024;
/** A drive tries this long before it gives a sector up. */
const retryMs = 1_200;
/** What each transfer costs beside its bytes: command, head movement, half a turn. */
const overheadMs = { spinning: 0.4, solid: 0.05 } as const;

/**
 * Knows which buffers hold nothing but zeros, so that long reads of a blank drive cost no time. A
 * buffer that somebody else wrote to is noticed by a look at each page of it.
 */
class Blanks {
  readonly #known = new WeakSet<ArrayBufferLike>();

  blank(target: Uint8Array): void {
    if (this.#known.has(target.buffer) && looksBlank(target)) return;
    target.fill(0);
    if (target.byteLength === target.buffer.byteLength) this.note(target);
  }

  note({ buffer }: Uint8Array): void {
    this.#known.add(buffer);
  }

  forget({ buffer }: Uint8Array): void {
    this.#known.delete(buffer);
  }
}

function looksBlank(bytes: Uint8Array): boolean {
  for (let at = 0; at < bytes.length; at += 512) if (bytes[at] !== 0) return false;
  return bytes.at(-1) === 0;
}

/** The bytes of a drive: only what was written is kept, all else reads as zeros. */
export class SimMedium {
  readonly #parts: SimParts;
  readonly #chunks = new Map<number, Uint8Array>();
  readonly #blanks = new Blanks();
  readonly #chance: () => number;

  constructor(parts: SimParts) {
    this.#parts = parts;
    this.#chance = seededChance(parts.nature.seed);
  }

  /** Gives the memory back that its bytes took; it is blank then. */
  clear(): void {
    this.#chunks.clear();
  }

  makeBuffer(bytes: number): Uint8Array {
    const buffer = new Uint8Array(bytes);
    this.#blanks.note(buffer);
    return buffer;
  }

  /** Bytes laid down beside all faults and without time, as a drive with a past holds them. */
  put(offset: number, bytes: Uint8Array): void {
    this.#eachPiece(offset, bytes.length, (chunk, within, place, length) => {
      const known = this.#chunks.get(chunk) ?? new Uint8Array(chunkBytes);
      known.set(bytes.subarray(place, place + length), within);
      this.#chunks.set(chunk, known);
    });
  }

  /** What truly lies there, faults aside. */
  get(offset: number, bytes: number): Uint8Array {
    const found = new Uint8Array(bytes);
    this.#fill(offset, found);
    return found;
  }

  #fill(offset: number, target: Uint8Array): void {
    this.#blanks.blank(target);
    this.#eachPiece(offset, target.length, (chunk, within, place, length) => {
      const known = this.#chunks.get(chunk);
      if (!known) return;
      this.#blanks.forget(target);
      target.set(known.subarray(within, within + length), place);
    });
  }

  /** Pieces of a stretch that lie in one chunk; a fake capacity starts again at the beginning. */
  #eachPiece(
    offset: number,
    bytes: number,
    visit: (chunk: number, within: number, place: number, length: number) => void,
  ): void {
    const wrap = this.#parts.state.faults.wrapBytes ?? Number.MAX_SAFE_INTEGER;
    let place = 0;
    while (place < bytes) {
      const at = (offset + place) % wrap;
      const within = at % chunkBytes;
      const length = Math.min(chunkBytes - within, wrap - at, bytes - place);
      visit(Math.floor(at / chunkBytes), within, place, length);
      place += length;
    }
  }

  read(offset: number, buffer: Uint8Array): Answer<number> {
    const { state, nature } = this.#parts;
    const length = this.#inside(offset, buffer.length);
    const bad = this.#faultsIn(state.faults.badSectors.keys(), offset, length);
    if (bad.length > 0) return this.#readFailed(bad);
    this.#fill(offset, buffer.subarray(0, length));
    for (const sector of this.#faultsIn(state.faults.flips.keys(), offset, length)) {
      const flip = state.faults.flips.get(sector);
      const at = sector * nature.logicalBlockBytes - offset + (flip?.byte ?? 0);
      buffer[at] = (buffer[at] ?? 0) ^ (flip?.bits ?? 0);
    }
    state.bytesRead += length;
    return answered(length);
  }

  #readFailed(bad: readonly number[]): Answer<number> {
    const { state } = this.#parts;
    const [sector = 0] = bad;
    const kind = state.faults.badSectors.get(sector) ?? 'unreadable';
    state.uncorrectableErrorsReported += 1;
    state.mediaErrors += 1;
    if (kind === 'unreadable') state.pendingSectors.add(sector);
    return missing(kind, `Reading at sector ${sector} failed: ${kind}`);
  }

  write(offset: number, buffer: Uint8Array): Answer<number> {
    this.#blanks.forget(buffer);
    const { state, nature } = this.#parts;
    const length = this.#inside(offset, buffer.length);
    if (length < buffer.length) return missing('refused', `Writing past the end at ${offset}`);
    const dead = this.#faultsIn(state.faults.deadSectors, offset, length);
    if (dead.length > 0) return missing('aborted', `Writing at sector ${dead[0]} failed`);
    const block = nature.logicalBlockBytes;
    const elsewhere = new Map<number, Uint8Array>();
    for (const sector of this.#faultsIn(state.faults.misplacedWrites.keys(), offset, length)) {
      elsewhere.set(sector, buffer.slice(sector * block - offset, sector * block - offset + block));
    }
    const skipped = new Set([
      ...elsewhere.keys(),
      ...this.#faultsIn(state.faults.droppedWrites, offset, length),
    ]);
    const kept = [...skipped].map((sector) => [sector, this.get(sector * block, block)] as const);
    this.put(offset, buffer);
    for (const [sector, bytes] of kept) this.put(sector * block, bytes);
    for (const [sector, bytes] of elsewhere) {
      this.put((state.faults.misplacedWrites.get(sector) ?? sector) * block, bytes);
    }
    this.#heal(offset, length, skipped);
    state.bytesWritten += length;
    return answered(length);
  }

  /** A sector that was found bad and is written again is replaced by a spare one. */
  #heal(offset: number, length: number, skipped: ReadonlySet<number>): void {
    const { state } = this.#parts;
    for (const sector of this.#faultsIn(state.faults.badSectors.keys(), offset, length)) {
      if (skipped.has(sector)) continue;
      state.faults.badSectors.delete(sector);
      if (!state.pendingSectors.delete(sector)) continue;
      state.reallocatedSectors += 1;
      state.grownDefects += 1;
    }
  }

  #inside(offset: number, length: number): number {
    return Math.max(0, Math.min(length, this.#parts.nature.capacityBytes - offset));
  }

  #faultsIn(sectors: Iterable<number>, offset: number, length: number): number[] {
    const block = this.#parts.nature.logicalBlockBytes;
    const inside = [...sectors].filter((sector) => {
      return sector * block < offset + length && (sector + 1) * block > offset;
    });
    return inside.sort((left, right) => left - right);
  }

  /** Time of one transfer by place, with 1 % of chance either way, faults and slow places. */
  durationMs(offset: number, length: number, direction: 'read' | 'write'): number {
    const { nature, state } = this.#parts;
    const { faults } = state;
    const chance = 0.99 + 0.02 * this.#chance();
    const moving = (1000 * length * faults.slowedBy * chance) / rateAt(nature, offset);
    const slow = faults.slowPlaces
      .filter((place) => place.fromByte < offset + length && place.toByte > offset)
      .reduce((sum, place) => sum + place.extraMs, 0);
    const bad = direction === 'read' && this.#hasBad(offset, length);
    const overhead = nature.spins ? overheadMs.spinning : overheadMs.solid;
    return moving + overhead + slow + (bad ? retryMs : 0);
  }

  #hasBad(offset: number, length: number): boolean {
    return this.#faultsIn(this.#parts.state.faults.badSectors.keys(), offset, length).length > 0;
  }
}

export async function openSimBlocks(
  parts: SimParts,
  medium: SimMedium,
  options: OpenOptions,
): Promise<Answer<BlockHandle>> {
  const { state, nature, time } = parts;
  const deadlineMs = options.deadlineMs;
  const opened = await time.attend(
    { name: 'Opening', deadlineMs, durationMs: 0, wakes: false },
    () => answered(null),
  );
  if (!opened.ok) return opened;
  if (options.exclusive && state.held) return missing('busy', 'Something else holds the device');
  if (options.exclusive) state.held = true;
  let closed = false;

  function attend<T>(
    what: { name: string; durationMs: number; wakes: boolean },
    act: () => Answer<T>,
  ): Promise<Answer<T>> {
    if (closed) return Promise.resolve(missing('aborted', `${what.name} was asked after closing`));
    return time.attend({ ...what, deadlineMs }, act);
  }

  function transfer(
    direction: 'read' | 'write',
    place: { offset: number; buffer: Uint8Array },
  ): Promise<Answer<number>> {
    const { offset, buffer } = place;
    const name = `${direction} of ${buffer.length} bytes at byte ${offset}`;
    const block = nature.logicalBlockBytes;
    if (offset % block !== 0 || buffer.length % block !== 0) {
      return Promise.resolve(missing('not-supported', `${name} is no multiple of ${block}`));
    }
    if (direction === 'write' && !options.write) {
      return Promise.resolve(missing('aborted', `${name} on a handle opened for reading`));
    }
    const durationMs = medium.durationMs(offset, buffer.length, direction);
    return attend({ name, durationMs, wakes: true }, () =>
      direction === 'read' ? medium.read(offset, buffer) : medium.write(offset, buffer),
    );
  }

  return answered({
    sizeBytes: nature.capacityBytes,
    logicalBlockBytes: nature.logicalBlockBytes,
    makeBuffer: (bytes) => medium.makeBuffer(bytes),
    read: (offset, buffer) => transfer('read', { offset, buffer }),
    write: (offset, buffer) => transfer('write', { offset, buffer }),
    flush: () => attend({ name: 'Flushing', durationMs: 0, wakes: true }, () => answered(null)),
    identity: () =>
      attend({ name: 'Asking who it is', durationMs: 0, wakes: false }, () =>
        answered({
          deviceNumber: state.deviceNumber,
          diskSequence: state.diskSequence,
          sizeBytes: nature.capacityBytes,
          // SCSI tells no more than the 16 characters of the product field.
          model: nature.kind === 'sas-disk' ? state.model.slice(0, 16).trim() : state.model,
          serial: state.serial,
        }),
      ),
    async close() {
      if (!closed && options.exclusive) state.held = false;
      closed = true;
    },
  });
}
