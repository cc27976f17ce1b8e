import { checkPart } from '../checks/catalogue.js';
import type { CheckInput, Expectations, SeriesHistory } from '../checks/check.js';
import type { Finding } from '../checks/finding.js';
import { judge } from '../checks/judge.js';
import { metricInfo } from '../checks/metrics.js';
import type { DriveClass } from '../checks/model/classes.js';
import { type DriveForSpeed, expectedSpeedAt } from '../checks/model/drive-speed.js';
import type { BoxModel } from '../checks/model/parse.js';
import { driveChain, lowestCeiling } from '../checks/model/topology.js';
import type { Instant, LatestReading, PartRow } from './store/rows.js';
import type { StoreWriter } from './store/store.js';

export interface JudgingParts {
  readonly store: StoreWriter;
  readonly model: BoxModel | null;
  readonly classes: readonly DriveClass[];
}

/** A finding that was not there before. */
export type Opened = Pick<Finding, 'code' | 'subject'>;

/** Gauges are stored each time they are read, and no rule looks further back than this. */
const gaugeHistoryMs = 3 * 24 * 3600_000;

/** Puts every part before every check and keeps what changed; returns the findings that opened. */
export function judgeAll(parts: JudgingParts, now: Instant): readonly Opened[] {
  const { store } = parts;
  const findings = store.findings('all');
  const open = findings.filter(({ state }) => state === 'open');
  const inputs = store.parts().map((part) => inputOf(parts, { part, findings, now }));
  const changes = judge({ results: inputs.flatMap(checkPart), open, at: now });
  if (changes.length > 0) store.keepFindings(now, changes);
  return changes.filter(({ kind }) => kind === 'open').map(({ finding }) => finding);
}

interface About {
  readonly part: PartRow;
  readonly findings: readonly Finding[];
  readonly now: Instant;
}

function inputOf(parts: JudgingParts, { part, findings, now }: About): CheckInput {
  const { controller } = part.details;
  const shared = typeof controller === 'string' ? controller : null;
  return {
    subject: part.name,
    kind: part.kind,
    controller: shared,
    series: parts.store.latest(part.id).map((latest) => historyOf(parts.store, latest)),
    speeds: parts.store.speeds(part.id),
    expectations: expectationsOf(parts, part),
    findings: findings.filter(({ subject }) => subject === part.name || subject === shared),
    now,
  };
}

function historyOf(store: StoreWriter, latest: LatestReading): SeriesHistory {
  const { kind, damage } = metricInfo(latest.metric);
  const from = kind === 'gauge' && !damage ? latest.lastWallMs - gaugeHistoryMs : 0;
  return {
    metric: latest.metric,
    place: latest.place,
    unit: latest.unit,
    source: latest.source,
    first: firstOf(store, latest),
    looks: store.readings(latest.seriesId, from),
  };
}

function firstOf(
  store: StoreWriter,
  latest: LatestReading,
): NonNullable<SeriesHistory['first']> | null {
  if (latest.firstValue === null) return null;
  const first = store.readings(latest.seriesId, 0).find(({ state }) => state === 'measured');
  if (first === undefined) return null;
  const { boot, monoMs, wallMs } = first;
  return { boot, monoMs, wallMs, value: latest.firstValue };
}

/** What the model and the classes let a drive be expected to reach, at any place of it. */
export function expectationsOf(
  { model, classes }: Pick<JudgingParts, 'model' | 'classes'>,
  part: Pick<PartRow, 'name' | 'kind' | 'details'>,
): Expectations {
  if (part.kind !== 'drive') return { speedAt: null, capacityBytes: null };
  const drive = driveForSpeed(part, model);
  return {
    speedAt: (fraction) => expectedSpeedAt({ drive, classes }, fraction),
    capacityBytes: drive.capacityBytes,
  };
}

/** What is known of a drive whose speed is to be expected. */
export function driveForSpeed(
  { name, details }: Pick<PartRow, 'name' | 'details'>,
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
