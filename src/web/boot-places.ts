import type { BootRow } from '../agent/store/rows.js';

/** Where a boot lies on the calendar axis; moments within it follow its own steady clock. */
export interface BootPlace {
  readonly startMs: number;
  readonly endMs: number;
}

const apartMs = 1000;

/**
 * Lays boots on one calendar axis in their true order. A boot's calendar is taken at its newest
 * moment, when the time is most likely right, and counted back by the steady clock, so steps within
 * a boot do no harm. Boots with trusted time stay; where one overlaps a later one it is moved
 * before it. Boots without trusted time are put where they fit between their neighbours. Pure.
 */
export function placeBoots(boots: readonly BootRow[]): ReadonlyMap<number, BootPlace> {
  const ordered = [...boots].sort((a, b) => a.id - b.id);
  const anyTrusted = ordered.some((boot) => boot.wallTrusted);
  const anchors = anyTrusted ? ordered.filter((boot) => boot.wallTrusted) : ordered;
  const places = placeAnchors(anchors);
  placeOthers(ordered, places);
  return places;
}

/** Calendar milliseconds of a moment, or null when its boot is not known. */
export function calendarMs(
  places: ReadonlyMap<number, BootPlace>,
  moment: { readonly boot: number; readonly monoMs: number },
): number | null {
  const place = places.get(moment.boot);
  return place === undefined ? null : place.startMs + moment.monoMs;
}

function placeAnchors(anchors: readonly BootRow[]): Map<number, BootPlace> {
  const places = new Map<number, BootPlace>();
  let nextStartMs = Number.POSITIVE_INFINITY;
  for (const boot of [...anchors].reverse()) {
    const endMs = Math.min(boot.lastWallMs, nextStartMs - apartMs);
    const startMs = endMs - boot.lastMonoMs;
    places.set(boot.id, { startMs, endMs });
    nextStartMs = startMs;
  }
  return places;
}

function placeOthers(ordered: readonly BootRow[], places: Map<number, BootPlace>): void {
  ordered.forEach((boot, index) => {
    if (places.has(boot.id)) return;
    const before = ordered[index - 1];
    const previousEndMs = before === undefined ? undefined : places.get(before.id)?.endMs;
    const next = ordered.slice(index + 1).find((later) => places.has(later.id));
    const nextStartMs = next === undefined ? undefined : places.get(next.id)?.startMs;
    places.set(boot.id, placeBetween(boot, previousEndMs, nextStartMs));
  });
}

function placeBetween(
  boot: BootRow,
  previousEndMs: number | undefined,
  nextStartMs: number | undefined,
): BootPlace {
  const own = { startMs: boot.lastWallMs - boot.lastMonoMs, endMs: boot.lastWallMs };
  const afterPrevious = previousEndMs === undefined || own.startMs > previousEndMs;
  const beforeNext = nextStartMs === undefined || own.endMs < nextStartMs;
  if (afterPrevious && beforeNext) return own;
  if (previousEndMs !== undefined) {
    const startMs = previousEndMs + apartMs;
    return { startMs, endMs: startMs + boot.lastMonoMs };
  }
  const endMs = (nextStartMs ?? own.endMs) - apartMs;
  return { startMs: endMs - boot.lastMonoMs, endMs };
}
