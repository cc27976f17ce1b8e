import type { PartRow, SpeedRow } from '../agent/store/rows.js';
import type { SpeedResult } from '../checks/speed-result.js';
import { partTitle } from './part-name.js';

/** The newest run over one path in one direction, its places in order along the drive. */
export interface SpeedRun {
  readonly path: string;
  readonly direction: SpeedResult['direction'];
  readonly run: number;
  readonly rows: readonly SpeedRow[];
  readonly verdict: SpeedResult['verdict'];
  readonly wallMs: number;
}

/** Newest run of each path and direction, newest first by path name. Pure; never throws. */
export function latestRuns(rows: readonly SpeedRow[]): readonly SpeedRun[] {
  const groups = new Map<string, SpeedRow[]>();
  for (const row of rows) {
    const key = JSON.stringify([row.path, row.direction]);
    groups.set(key, [...(groups.get(key) ?? []), row]);
  }
  return [...groups.values()].map(newestRun);
}

/** All runs of one path, newest first. */
export function runsOf(rows: readonly SpeedRow[]): readonly SpeedRun[] {
  const runs = new Map<string, SpeedRow[]>();
  for (const row of rows) {
    const key = JSON.stringify([row.run, row.path, row.direction]);
    runs.set(key, [...(runs.get(key) ?? []), row]);
  }
  return [...runs.values()].map(newestRun).sort((a, b) => b.run - a.run);
}

/** The drive's own name for a drive's path; other paths by their own words. */
export function pathWords(path: string, parts: readonly PartRow[]): string {
  const colon = path.indexOf(':');
  const kind = path.slice(0, colon);
  const name = path.slice(colon + 1);
  if (kind === 'drive') {
    const part = parts.find((one) => one.name === name);
    return part === undefined ? `Drive ${name}` : partTitle(part);
  }
  if (kind === 'group') return `All drives behind ${name} together`;
  if (kind === 'array') return `Array ${name}`;
  return path;
}

/** Lowest and highest figure of a run, or null when no place has one. */
export function rangeOf(run: SpeedRun): { readonly low: number; readonly high: number } | null {
  const figures = run.rows.flatMap((row) =>
    row.bytesPerSecond === null ? [] : [row.bytesPerSecond],
  );
  if (figures.length === 0) return null;
  return { low: Math.min(...figures), high: Math.max(...figures) };
}

function newestRun(rows: readonly SpeedRow[]): SpeedRun {
  const run = Math.max(...rows.map((row) => row.run));
  const ofRun = rows.filter((row) => row.run === run);
  const sorted = [...ofRun].sort((a, b) => (a.place ?? 0) - (b.place ?? 0));
  const first = sorted[0];
  return {
    path: first?.path ?? '',
    direction: first?.direction ?? 'read',
    run,
    rows: sorted,
    verdict: verdictOf(sorted),
    wallMs: Math.max(...sorted.map((row) => row.at.wallMs)),
  };
}

/** Below expected where any place is; as expected only when every place is. */
function verdictOf(rows: readonly SpeedRow[]): SpeedResult['verdict'] {
  if (rows.some((row) => row.verdict === 'short')) return 'short';
  return rows.every((row) => row.verdict === 'met') ? 'met' : 'unknown';
}
