import type { BootRow } from '../agent/store/rows.js';
import { type BootPlace, placeBoots } from './boot-places.js';

/** One line of the box's history: a stretch on, a stretch off, or a stretch without the agent. */
export interface HistoryLine {
  readonly kind: 'on' | 'off' | 'agent-gap';
  readonly fromMs: number;
  readonly toMs: number;
  readonly boot: number;
  readonly wallTrusted: boolean;
}

/** When something was read, by boot: monotonic milliseconds in ascending order. */
export type ReadTimes = ReadonlyMap<number, readonly number[]>;

export interface HistoryReads {
  readonly times: ReadTimes;
  /** The times are known from this moment of the calendar on; from the beginning when absent. */
  readonly fromWallMs?: number;
  readonly silenceMsMax: number;
}

/**
 * The box's history, newest first. Between boots the box was off; within a boot a stretch of more
 * than `silenceMsMax` without any reading is a stretch without the agent. Boots for which no
 * reading times are given (too old, or nothing is read) get no agent gaps. Pure; never throws.
 */
export function historyLines(
  boots: readonly BootRow[],
  reads: HistoryReads,
): readonly HistoryLine[] {
  const places = placeBoots(boots);
  const ordered = [...boots].sort((a, b) => a.id - b.id);
  const lines = ordered.flatMap((boot, index) => {
    const place = places.get(boot.id);
    if (place === undefined) return [];
    const next = ordered[index + 1];
    const nextPlace = next === undefined ? undefined : places.get(next.id);
    const on = line('on', place.startMs, place.endMs, boot);
    const gaps = agentGaps(boot, place, reads);
    const off = nextPlace === undefined ? [] : [line('off', place.endMs, nextPlace.startMs, boot)];
    return [on, ...gaps, ...off];
  });
  return lines.reverse();
}

function line(kind: HistoryLine['kind'], fromMs: number, toMs: number, boot: BootRow): HistoryLine {
  return { kind, fromMs, toMs, boot: boot.id, wallTrusted: boot.wallTrusted };
}

function agentGaps(
  boot: BootRow,
  place: BootPlace,
  { times, fromWallMs = 0, silenceMsMax }: HistoryReads,
): readonly HistoryLine[] {
  const own = times.get(boot.id) ?? [];
  if (own.length === 0) return [];
  const fromMono = Math.max(0, fromWallMs - place.startMs);
  const marks = [fromMono, ...own.filter((mono) => mono > fromMono), boot.lastMonoMs];
  return marks.flatMap((fromMs, index) => {
    const toMs = marks[index + 1];
    if (toMs === undefined || toMs - fromMs <= silenceMsMax) return [];
    return [line('agent-gap', place.startMs + fromMs, place.startMs + toMs, boot)];
  });
}
