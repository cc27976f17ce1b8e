import type { PlaceError } from '../../checks/burn-in-result.js';
import type { PlaceTime } from '../../checks/surface-times.js';
import { listedErrorsMax } from './protocol.js';
import type { StretchProgress } from './protocol-types.js';
import type { Range } from './stream-blocks.js';

/** Gathers what happened in one stretch, with lists that cannot grow without end. */
export class Tally {
  private readonly listed: PlaceError[] = [];
  private readonly unlisted: Record<string, number> = {};
  private readonly times = new Map<number, { bytes: number; seconds: number }>();
  private unlocatedBytes = 0;
  private unknownAt: number | null = null;

  constructor(private readonly driveBytes: number) {}

  addErrors(errors: readonly PlaceError[], unlocatedBytes = 0): void {
    for (const { lba, kind } of errors) {
      if (this.listed.length < listedErrorsMax) this.listed.push({ lba, kind });
      else this.unlisted[kind] = (this.unlisted[kind] ?? 0) + 1;
    }
    this.unlocatedBytes += unlocatedBytes;
  }

  noteUnknown(atByte: number): void {
    this.unknownAt ??= atByte;
  }

  /** Charges the time since the block before to the thousandth where this block begins. */
  addTime(block: Range, seconds: number): void {
    const place = Math.min(999, Math.floor((block.fromByte / this.driveBytes) * 1000));
    const sum = this.times.get(place) ?? { bytes: 0, seconds: 0 };
    this.times.set(place, {
      bytes: sum.bytes + block.toByte - block.fromByte,
      seconds: sum.seconds + seconds,
    });
  }

  progress(range: Range, seconds: number): StretchProgress {
    const places: PlaceTime[] = [...this.times].map(([place, sum]) => ({ place, ...sum }));
    return {
      fromByte: range.fromByte,
      toByte: range.toByte,
      seconds,
      errors: this.listed,
      ...(Object.keys(this.unlisted).length === 0 ? {} : { unlisted: this.unlisted }),
      ...(this.unlocatedBytes === 0 ? {} : { unlocatedBytes: this.unlocatedBytes }),
      ...(this.unknownAt === null ? {} : { unknownAt: this.unknownAt }),
      places,
    };
  }
}
