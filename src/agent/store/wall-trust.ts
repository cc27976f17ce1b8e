/** Whether the calendar of a boot can be believed. Pure: a box with a dead clock battery is common
 * among second-hand boards, and one wrong calendar must neither age nor hide what was measured. */

/** Bayward did not exist before: a calendar that says less was reset. */
export const earliestPlausibleWallMs = Date.UTC(2025, 0, 1);

/** Differences below this are corrections of a running clock, not steps (our choice). */
const stepMsMin = 60_000;

/** Within this time after boot a step forward is the network setting the clock (our choice). */
const settingMsMax = 15 * 60_000;

export interface BootTimes {
  readonly id: number;
  readonly startedWall: number;
  readonly lastWallMs: number;
  readonly wallTrusted: boolean;
}

export interface BootTrust {
  readonly trusted: boolean;
  /** Earlier boots that are shown wrong by this one. */
  readonly distrusted: readonly number[];
}

/**
 * Judges the calendar at the start of a boot against the boots before it, oldest first. A calendar
 * earlier than a trusted one is not believed, except when the boot just before agrees with this
 * one: then two stand against those that are later than both, and those lose their trust.
 */
export function trustAtBoot(earlier: readonly BootTimes[], wallMs: number): BootTrust {
  if (wallMs < earliestPlausibleWallMs) {
    return { trusted: false, distrusted: [] };
  }
  const later = earlier.filter((boot) => boot.wallTrusted && boot.lastWallMs > wallMs);
  const before = earlier.at(-1);
  if (later.length === 0) {
    return { trusted: true, distrusted: [] };
  }
  const agrees =
    before !== undefined &&
    !before.wallTrusted &&
    before.startedWall >= earliestPlausibleWallMs &&
    before.startedWall <= before.lastWallMs &&
    before.lastWallMs <= wallMs;
  return agrees
    ? { trusted: true, distrusted: later.map(({ id }) => id) }
    : { trusted: false, distrusted: [] };
}

/** A moment of a boot against what its calendar said before. */
export interface WallMove {
  /** Calendar minus time since boot, as last known. */
  readonly offsetMs: number;
  readonly monoMs: number;
  readonly wallMs: number;
  /** Newest calendar time of the trusted boots before this one, or null. */
  readonly newestEarlierMs: number | null;
}

/**
 * `steady`: no step. `set`: the clock was put right soon after boot, as a network time service
 * does; earlier moments of this boot can be dated by it. `stepped`: the calendar is not believed.
 */
export function wallMove(move: WallMove): 'steady' | 'set' | 'stepped' {
  const change = move.wallMs - move.monoMs - move.offsetMs;
  if (Math.abs(change) < stepMsMin) {
    return 'steady';
  }
  const plausible =
    move.wallMs >= earliestPlausibleWallMs && move.wallMs >= (move.newestEarlierMs ?? 0);
  return change > 0 && move.monoMs <= settingMsMax && plausible ? 'set' : 'stepped';
}
