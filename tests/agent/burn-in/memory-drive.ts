import {
  type AbsenceKind,
  type Answer,
  answered,
  type BlockHandle,
  type Box,
  missing,
  type OpenIdentity,
} from '../../../src/agent/box/box.js';
import type { Clock } from '../../../src/agent/clock.js';
import type { DriveSeen } from '../../../src/checks/part.js';

/** A clock that only moves when something takes time on it. */
export function makeStillClock(bootId = 'boot-one'): Clock & { advance(ms: number): void } {
  let nowMs = 0;
  return {
    bootId,
    bootMs: () => Math.round(nowMs),
    wallMs: () => 1_700_000_000_000 + Math.round(nowMs),
    fineMs: () => nowMs,
    sleep: async (ms) => {
      nowMs += ms;
      await new Promise((resolve) => setImmediate(resolve));
    },
    advance: (ms) => {
      nowMs += ms;
    },
  };
}

export interface MemoryDriveOptions {
  readonly sizeBytes: number;
  readonly sectorBytes?: number;
  readonly serial?: string;
  readonly model?: string;
  readonly clock?: { advance(ms: number): void };
}

/** A drive in memory with faults that tests set, and a log of everything written to it. */
export class MemoryDrive {
  readonly bytes: Uint8Array;
  readonly sectorBytes: number;
  readonly writes: { fromByte: number; toByte: number }[] = [];
  /** Sector number to how reading it fails. */
  readonly unreadable = new Map<number, AbsenceKind>();
  readonly unwritable = new Map<number, AbsenceKind>();
  /** Sectors whose writes are lost. */
  readonly dropped = new Set<number>();
  /** Sector to the sector where its write really goes. */
  readonly moved = new Map<number, number>();
  /** Addresses are taken modulo this many sectors, when set. */
  trueSectors: number | null = null;
  healsOnWrite = true;
  identity: OpenIdentity;
  isGone = false;
  holders = 0;
  exclusive = false;
  flushes = 0;
  opens: { write: boolean; exclusive: boolean }[] = [];
  /** What unflushed sectors held before, newest last: a loss of power may bring it back. */
  private unflushed: { at: number; old: Uint8Array }[] = [];
  /** A drive that says that it has flushed, and has not. */
  flushLies = false;
  onWrite: (range: { fromByte: number; toByte: number }) => void = () => undefined;
  seen: DriveSeen;

  constructor(private readonly options: MemoryDriveOptions) {
    this.bytes = new Uint8Array(options.sizeBytes);
    this.sectorBytes = options.sectorBytes ?? 512;
    const serial = options.serial ?? 'LK4T9021';
    const model = options.model ?? 'Larkspur Invented 1';
    this.identity = {
      deviceNumber: '8:16',
      diskSequence: '7',
      sizeBytes: options.sizeBytes,
      model,
      serial,
    };
    this.seen = {
      kind: 'drive',
      id: serial,
      identityKey: `serial:${model}/${serial}`,
      model,
      serial,
      firmware: '1',
      worldWideName: null,
      capacityBytes: options.sizeBytes,
      logicalBlockBytes: this.sectorBytes,
      physicalBlockBytes: 4096,
      rotating: true,
      reachedBy: 'ata',
      kernelName: 'sdb',
      devicePath: '/dev/sdb',
      deviceNumber: '8:16',
      diskSequence: '7',
      controller: null,
      port: null,
      notVisibleWhy: null,
      duplicateIdentity: false,
    };
  }

  private place(sector: number): number {
    return this.trueSectors === null ? sector : sector % this.trueSectors;
  }

  private sectors(offset: number, length: number): number[] {
    const first = offset / this.sectorBytes;
    if (!Number.isInteger(first) || length % this.sectorBytes !== 0) throw new Error('unaligned');
    return Array.from({ length: length / this.sectorBytes }, (_, index) => first + index);
  }

  private spend(length: number): void {
    this.options.clock?.advance((length / 200e6) * 1000);
  }

  async read(offset: number, buffer: Uint8Array): Promise<Answer<number>> {
    await Promise.resolve();
    this.spend(buffer.length);
    if (this.isGone) return missing('gone', 'The drive is gone');
    for (const [index, sector] of this.sectors(offset, buffer.length).entries()) {
      const kind = this.unreadable.get(sector);
      if (kind !== undefined) return missing(kind, `Sector ${sector} failed`);
      const at = this.place(sector) * this.sectorBytes;
      buffer.set(this.bytes.subarray(at, at + this.sectorBytes), index * this.sectorBytes);
    }
    return answered(buffer.length);
  }

  async write(offset: number, buffer: Uint8Array): Promise<Answer<number>> {
    await Promise.resolve();
    this.spend(buffer.length);
    if (this.isGone) return missing('gone', 'The drive is gone');
    const range = { fromByte: offset, toByte: offset + buffer.length };
    this.writes.push(range);
    this.onWrite(range);
    for (const [index, sector] of this.sectors(offset, buffer.length).entries()) {
      const kind = this.unwritable.get(sector);
      if (kind !== undefined) return missing(kind, `Sector ${sector} failed`);
      if (this.healsOnWrite) this.unreadable.delete(sector);
      if (this.dropped.has(sector)) continue;
      const at = this.place(this.moved.get(sector) ?? sector) * this.sectorBytes;
      const from = index * this.sectorBytes;
      this.unflushed.push({ at, old: this.bytes.slice(at, at + this.sectorBytes) });
      this.bytes.set(buffer.subarray(from, from + this.sectorBytes), at);
    }
    return answered(buffer.length);
  }

  /** Power is lost: of the unflushed sectors, those that `isLost` picks hold the old again. */
  losePower(isLost: () => boolean): void {
    for (const { at, old } of this.unflushed.reverse()) {
      if (isLost()) this.bytes.set(old, at);
    }
    this.unflushed = [];
  }

  open(options: { write: boolean; exclusive: boolean }): Answer<BlockHandle> {
    this.opens.push(options);
    if (this.isGone) return missing('gone', 'The drive is gone');
    if (options.exclusive && (this.holders > 0 || this.exclusive)) {
      return missing('busy', 'Something else holds it');
    }
    if (options.exclusive) this.exclusive = true;
    return answered({
      sizeBytes: this.bytes.length,
      logicalBlockBytes: this.sectorBytes,
      makeBuffer: (bytes) => new Uint8Array(bytes),
      read: (offset, buffer) => this.read(offset, buffer),
      write: (offset, buffer) =>
        options.write
          ? this.write(offset, buffer)
          : Promise.resolve(missing('not-permitted', 'Opened for reading')),
      flush: async () => {
        this.flushes += 1;
        if (!this.flushLies) this.unflushed = [];
        return this.isGone ? missing('gone', 'The drive is gone') : answered(null);
      },
      identity: async () => answered(this.identity),
      close: async () => {
        if (options.exclusive) this.exclusive = false;
      },
    });
  }
}

/** A box whose only device is the given drive; kernel files come from the map. */
export function boxWith(drive: MemoryDrive, files: ReadonlyMap<string, string> = new Map()): Box {
  const no = async () => missing<never>('not-supported', 'Not part of this box');
  return {
    kernelText: async (path) => {
      const text = files.get(path);
      return text === undefined ? missing('not-there', `No ${path}`) : answered(text);
    },
    kernelBytes: no,
    kernelFolder: no,
    kernelRealPath: no,
    ata: no,
    scsi: no,
    nvme: no,
    openBlocks: async (address, options) =>
      address.devicePath === drive.seen.devicePath ? drive.open(options) : missing('gone', 'gone'),
    machine: async () => ({ board: null, processor: null }),
  };
}
