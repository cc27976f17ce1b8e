/** Bytes of one sector of every medium in the lab. */
export const sectorBytes = 512;

const chunkBytes = 65_536;

/**
 * One planted fault. Sector ranges include both ends. `pending` is unreadable until each sector was
 * written again; `unreadable` stays; `flip` changes one byte of what is read; `drop` accepts a
 * write and forgets it; `slow` adds to each read and write that touches it; `hang` never answers.
 */
export type SectorRule = { readonly kind: 'pending'; readonly range: SectorRange } | LastingRule;

type LastingRule =
  | { readonly kind: 'unreadable' | 'drop' | 'hang'; readonly range: SectorRange }
  | { readonly kind: 'flip'; readonly sector: number; readonly byte: number; readonly mask: number }
  | { readonly kind: 'slow'; readonly range: SectorRange; readonly delayMs: number };

export interface SectorRange {
  readonly from: number;
  readonly to: number;
}

/** What came of a read or write; `delayMs` is to be waited before it is answered. */
export type MediumOutcome =
  | { readonly kind: 'done'; readonly data: Buffer; readonly delayMs: number }
  | { readonly kind: 'unreadable'; readonly sector: number; readonly delayMs: number }
  | { readonly kind: 'hang' };

/** Memory of a make-believe disk, allocated where it is written, with faults by sector. */
export class FaultyMedium {
  readonly sectors: number;
  readonly counts = {
    reads: 0,
    writes: 0,
    writtenSectors: 0,
    failedReads: 0,
    droppedWrites: 0,
    healedSectors: 0,
  };
  readonly #chunks = new Map<number, Buffer>();
  readonly #pending = new Set<number>();
  #rules: LastingRule[] = [];

  constructor(sectors: number) {
    this.sectors = sectors;
  }

  plant(rule: SectorRule): void {
    if (rule.kind !== 'pending') {
      this.#rules.push(rule);
      return;
    }
    for (let at = rule.range.from; at <= rule.range.to; at += 1) this.#pending.add(at);
  }

  /** Takes away every fault but leaves what is stored. */
  repair(): void {
    this.#rules = [];
    this.#pending.clear();
  }

  get pendingSectors(): number {
    return this.#pending.size;
  }

  /** Sectors that hold nothing but zeros. */
  blankSectors(): number {
    const blank = Buffer.alloc(sectorBytes);
    let count = 0;
    for (let sector = 0; sector < this.sectors; sector += 1) {
      if (this.#copyOut(sector * sectorBytes, sectorBytes).equals(blank)) count += 1;
    }
    return count;
  }

  read(sector: number, count: number): MediumOutcome {
    this.counts.reads += 1;
    const range = { from: sector, to: sector + count - 1 };
    if (this.#touches('hang', range)) return { kind: 'hang' };
    const delayMs = this.#delayMs(range);
    const bad = this.#firstUnreadable(range);
    if (bad !== null) {
      this.counts.failedReads += 1;
      return { kind: 'unreadable', sector: bad, delayMs };
    }
    const data = this.#copyOut(sector * sectorBytes, count * sectorBytes);
    this.#flip(data, range);
    return { kind: 'done', data, delayMs };
  }

  write(sector: number, data: Buffer): MediumOutcome {
    this.counts.writes += 1;
    const range = { from: sector, to: sector + data.length / sectorBytes - 1 };
    if (this.#touches('hang', range)) return { kind: 'hang' };
    this.counts.writtenSectors += data.length / sectorBytes;
    for (let at = range.from; at <= range.to; at += 1) {
      if (this.#touches('drop', { from: at, to: at })) {
        this.counts.droppedWrites += 1;
        continue;
      }
      if (this.#pending.delete(at)) this.counts.healedSectors += 1;
      const from = (at - sector) * sectorBytes;
      this.#copyIn(at * sectorBytes, data.subarray(from, from + sectorBytes));
    }
    return { kind: 'done', data: Buffer.alloc(0), delayMs: this.#delayMs(range) };
  }

  #touches(kind: 'hang' | 'drop', range: SectorRange): boolean {
    return this.#rules.some((rule) => rule.kind === kind && overlap(rule.range, range));
  }

  #delayMs(range: SectorRange): number {
    let sum = 0;
    for (const rule of this.#rules) {
      if (rule.kind === 'slow' && overlap(rule.range, range)) sum += rule.delayMs;
    }
    return sum;
  }

  #firstUnreadable(range: SectorRange): number | null {
    for (let at = range.from; at <= range.to; at += 1) {
      const here = { from: at, to: at };
      if (this.#pending.has(at)) return at;
      if (this.#rules.some((rule) => rule.kind === 'unreadable' && overlap(rule.range, here))) {
        return at;
      }
    }
    return null;
  }

  #flip(data: Buffer, range: SectorRange): void {
    for (const rule of this.#rules) {
      if (rule.kind !== 'flip' || rule.sector < range.from || rule.sector > range.to) continue;
      const at = (rule.sector - range.from) * sectorBytes + rule.byte;
      data[at] = (data[at] ?? 0) ^ rule.mask;
    }
  }

  #copyOut(offset: number, length: number): Buffer {
    const out = Buffer.alloc(length);
    for (let done = 0; done < length; ) {
      const at = (offset + done) % chunkBytes;
      const step = Math.min(chunkBytes - at, length - done);
      this.#chunks.get(Math.floor((offset + done) / chunkBytes))?.copy(out, done, at, at + step);
      done += step;
    }
    return out;
  }

  /** Sectors never straddle two chunks, so one copy is enough. */
  #copyIn(offset: number, sector: Buffer): void {
    const number = Math.floor(offset / chunkBytes);
    const chunk = this.#chunks.get(number) ?? Buffer.alloc(chunkBytes);
    this.#chunks.set(number, chunk);
    sector.copy(chunk, offset % chunkBytes);
  }
}

function overlap(one: SectorRange, other: SectorRange): boolean {
  return one.from <= other.to && other.from <= one.to;
}
