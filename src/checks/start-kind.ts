/** How a boot began, as the drives’ own counters tell. */
export type StartKind = 'power-on' | 'restart' | 'unknown';

/** How often one drive was switched on by its own count, by boot of the box. */
export interface PowerCycles {
  readonly boot: number;
  readonly value: number;
}

/**
 * How each boot began, by its number, from the counters "power cycles" of all drives, each in the
 * order in which it was read. Nothing else on a box tells it without privilege and trust: the
 * kernel’s log begins anew either way, and a clock may lie.
 *
 * "restart": one drive that was read in this boot and in the one before counts no power-on in
 * between, though it has counted others (a counter that never moves is no witness). Then the power
 * stayed on for all, whatever another drive counts: that one lost its power alone. "power-on": each
 * drive that was read in both counts one or more, and there is such a drive. Otherwise "unknown". A
 * box that slept in between, or ran without Bayward, counts as switched on. Source: ACS-4 Device
 * Statistics, lifetime power-on resets; NVMe 1.4 power cycles (from memory). Pure; never throws.
 */
export function startKinds(
  drives: readonly (readonly PowerCycles[])[],
): ReadonlyMap<number, StartKind> {
  const kinds = new Map<number, StartKind>();
  for (const counts of drives) {
    const moves = counts.some(({ value }) => value > (counts[0]?.value ?? value));
    for (const [boot, risen] of risesOf(counts)) {
      if (!risen && moves) kinds.set(boot, 'restart');
      else if (risen && kinds.get(boot) !== 'restart') kinds.set(boot, 'power-on');
    }
  }
  return kinds;
}

/** For each boot that follows one in which the drive was read: whether its count rose between. */
function risesOf(counts: readonly PowerCycles[]): ReadonlyMap<number, boolean> {
  const rises = new Map<number, boolean>();
  let before: PowerCycles | null = null;
  for (const count of counts) {
    if (before !== null && count.boot === before.boot + 1 && count.value >= before.value) {
      rises.set(count.boot, count.value > before.value);
    }
    before = count;
  }
  return rises;
}
