import type { CheckInput, Expectations, Moment, SeriesHistory, SpeedLook } from './check.js';
import type { Finding } from './finding.js';
import { metricInfo } from './metrics.js';
import type { DriveClass } from './model/classes.js';
import { type DriveForSpeed, expectedSpeedAt } from './model/drive-speed.js';
import type { BoxModel } from './model/parse.js';
import { driveChain, lowestCeiling } from './model/topology.js';
import type { PartKind } from './part.js';
import type { Unit } from './reading.js';

/** A part as it is kept, as far as checks need it. */
export interface KeptPart {
  readonly id: number;
  readonly kind: PartKind;
  readonly name: string;
  readonly details: Readonly<Record<string, unknown>>;
}

interface KeptSeries {
  readonly seriesId: number;
  readonly metric: string;
  readonly place: string;
  readonly unit: Unit;
  readonly source: string;
  readonly lastWallMs: number;
  readonly firstValue: number | null;
}

/** Where kept figures are read from. */
export interface KeptFigures {
  latest(partId: number): readonly KeptSeries[];
  readings(seriesId: number, fromWallMs: number): SeriesHistory['looks'];
  speeds(partId: number): readonly SpeedLook[];
}

/** What speeds are expected from. */
export interface SpeedKnowledge {
  readonly model: BoxModel | null;
  readonly classes: readonly DriveClass[];
}

export interface CheckFacts extends SpeedKnowledge {
  readonly figures: KeptFigures;
  /** All findings so far, open and cleared. */
  readonly findings: readonly Finding[];
  readonly now: Moment;
}

/** Gauges are kept each time they are read, and no rule looks further back than this. */
const gaugeHistoryMs = 3 * 24 * 3600_000;

/** Everything that the checks may know about one kept part. Throws only what `figures` throws. */
export function checkInputOf(part: KeptPart, facts: CheckFacts): CheckInput {
  const { figures, findings, now } = facts;
  const { controller } = part.details;
  const shared = typeof controller === 'string' ? controller : null;
  return {
    subject: part.name,
    kind: part.kind,
    controller: shared,
    series: figures.latest(part.id).map((latest) => historyOf(figures, latest)),
    speeds: figures.speeds(part.id),
    expectations: expectationsOf(part, facts),
    findings: findings.filter(({ subject }) => subject === part.name || subject === shared),
    now,
  };
}

/** What the model and the classes let a drive be expected to reach, at any place of it. */
export function expectationsOf(
  part: Pick<KeptPart, 'name' | 'kind' | 'details'>,
  { model, classes }: SpeedKnowledge,
): Expectations {
  if (part.kind !== 'drive') return { speedAt: null, capacityBytes: null };
  const drive = driveForSpeed(part, model);
  return {
    speedAt: (fraction) => expectedSpeedAt({ drive, classes }, fraction),
    capacityBytes: drive.capacityBytes,
  };
}

function historyOf(figures: KeptFigures, latest: KeptSeries): SeriesHistory {
  const { kind, damage } = metricInfo(latest.metric);
  const from = kind === 'gauge' && !damage ? latest.lastWallMs - gaugeHistoryMs : 0;
  return {
    metric: latest.metric,
    place: latest.place,
    unit: latest.unit,
    source: latest.source,
    first: firstOf(figures, latest),
    looks: figures.readings(latest.seriesId, from),
  };
}

function firstOf(
  figures: KeptFigures,
  latest: KeptSeries,
): NonNullable<SeriesHistory['first']> | null {
  if (latest.firstValue === null) return null;
  const first = figures.readings(latest.seriesId, 0).find(({ state }) => state === 'measured');
  if (first === undefined) return null;
  const { boot, monoMs, wallMs } = first;
  return { boot, monoMs, wallMs, value: latest.firstValue };
}

function driveForSpeed(
  { name, details }: Pick<KeptPart, 'name' | 'details'>,
  model: BoxModel | null,
): DriveForSpeed {
  const named = model?.drives.find(({ serial }) => serial === name);
  const { capacityBytes, rotating } = details;
  return {
    class: named?.class,
    outerRate: named?.outerRate,
    capacityBytes: typeof capacityBytes === 'number' ? capacityBytes : null,
    rotating: typeof rotating === 'boolean' ? rotating : null,
    limit: model === null ? null : lowestCeiling(driveChain(model, name)),
  };
}
