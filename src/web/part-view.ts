import type { BurnInRow, EventRow, LatestReading, PartRow } from '../agent/store/rows.js';
import type { StoreReader } from '../agent/store/store.js';
import type { SpeedKnowledge } from '../checks/check-input.js';
import type { Finding } from '../checks/finding.js';
import { goneSince } from '../checks/gone.js';
import { metricInfo } from '../checks/metrics.js';
import { bySubject, type FigureGroup, hourFigures } from '../checks/subjects.js';
import { newestBootOf, newestWallMs } from './box-view.js';
import { type CheckLine, checkLines } from './check-lines.js';
import { figuresWithBytes } from './kept-bytes.js';
import { partSentence } from './part-sentence.js';
import { runsOf, type SpeedRun } from './speeds.js';

export interface ChartWanted {
  readonly metric: string;
  readonly place: string;
  readonly title: string;
  readonly unit: LatestReading['unit'];
}

export interface PartView {
  readonly part: PartRow;
  readonly sentence: string;
  readonly newestWallMs: number | null;
  /** Since when the part is gone, in milliseconds of the calendar, or null while it is there. */
  readonly goneWallMs: number | null;
  readonly groups: readonly FigureGroup<LatestReading>[];
  /** Names of the figures whose bytes are kept. */
  readonly withBytes: ReadonlySet<string>;
  readonly hours: readonly LatestReading[];
  readonly charts: readonly ChartWanted[];
  readonly speedRuns: readonly SpeedRun[];
  readonly burnIns: readonly BurnInRow[];
  readonly findings: readonly Finding[];
  readonly checks: readonly CheckLine[];
  readonly events: readonly EventRow[];
}

const chartsMax = 8;
const eventsMax = 40;
const alwaysDrawn: readonly string[] = ['temperature', 'fan-speed', 'network-rate', 'read-rate'];

/** Everything a part page shows, read from the store. */
export function partView(
  store: StoreReader,
  part: PartRow,
  { parts, ...knowledge }: SpeedKnowledge & { readonly parts: readonly PartRow[] },
): PartView {
  const latest = store.latest(part.id);
  return {
    part,
    sentence: partSentence(part, latest, parts),
    newestWallMs: newestWallMs(latest),
    goneWallMs: goneSince(part, newestBootOf(store.boots()))?.wallMs ?? null,
    groups: bySubject(latest.filter(({ metric }) => metric !== 'hour-counter')),
    withBytes: figuresWithBytes(store.newestPages(part.id)),
    hours: hourFigures(latest),
    charts: chartsWanted(latest),
    speedRuns: runsOf(store.speeds(part.id)),
    burnIns: store.burnIns().filter((row) => row.partId === part.id),
    findings: store.findings('open').filter((finding) => finding.subject === part.name),
    checks: checkLines(store, part, knowledge),
    events: store.events(part.id, eventsMax),
  };
}

/** Gauges worth a line of their own, and damage counters that have moved since first seen. */
export function chartsWanted(latest: readonly LatestReading[]): readonly ChartWanted[] {
  return latest
    .filter((reading) => reading.state === 'measured' || reading.state === 'asleep')
    .filter((reading) => alwaysDrawn.includes(reading.metric) || hasMoved(reading))
    .slice(0, chartsMax)
    .map(({ metric, place, unit }) => {
      const label = metricInfo(metric).label;
      return { metric, place, unit, title: place === '' ? label : `${label}, ${place}` };
    });
}

function hasMoved(reading: LatestReading): boolean {
  if (!metricInfo(reading.metric).damage) return false;
  return (
    reading.value !== null && reading.firstValue !== null && reading.value !== reading.firstValue
  );
}
