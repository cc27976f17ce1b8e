import type { KernelCounters } from './kernel-counters.js';

/**
 * Tells other requests apart from our own reading, from the kernel's counters at the ends of
 * slices. Up to `inFlightBytesMax` of our own may be counted before we know that they are done.
 */
export class OtherLoad {
  private previous: { excess: number; written: number };
  private slices = 0;
  private disturbed = 0;

  constructor(
    private readonly start: KernelCounters,
    private readonly inFlightBytesMax: number,
  ) {
    this.previous = { excess: 0, written: start.writtenBytes };
  }

  /** Adds one slice; `drained` when nothing of ours is in flight. True: others were there. */
  addSlice(now: KernelCounters, ownBytes: number, drained: boolean): boolean {
    const allowance = drained ? 0 : this.inFlightBytesMax;
    const excess = Math.max(0, now.readBytes - this.start.readBytes - ownBytes - allowance);
    const isDisturbed = excess > this.previous.excess || now.writtenBytes > this.previous.written;
    this.previous = {
      excess: Math.max(excess, this.previous.excess),
      written: now.writtenBytes,
    };
    this.slices += 1;
    if (isDisturbed) this.disturbed += 1;
    return isDisturbed;
  }

  /** Share of slices in which other requests reached the drive, or null when none was seen. */
  get share(): number | null {
    return this.slices === 0 ? null : this.disturbed / this.slices;
  }
}
