import type {
  CheckInput,
  EventLook,
  Expectations,
  Look,
  Moment,
  SeriesHistory,
  SpeedLook,
} from './check.js';
import { driveName } from './drive-name.js';
import type { Finding } from './finding.js';
import { goneSince } from './gone.js';
import { numberLooks } from './history.js';
import { metricInfo } from './metrics.js';
import type { DriveClass } from './model/classes.js';
import { type DriveForSpeed, expectedSpeedAt } from './model/drive-speed.js';
import { enclosureOf, leadOf, namesDrive } from './model/drive-surroundings.js';
import type { BoxModel } from './model/parse.js';
import { driveChain, lowestCeiling } from './model/topology.js';
import type { PartKind } from './part.js';
import type { Unit } from './reading.js';
import { type StartKind, startKinds } from './start-kind.js';

/** A part as it is kept, as far as checks need it. */
export interface KeptPart {
  readonly id: number;
  readonly kind: PartKind;
  readonly name: string;
  readonly details: Readonly<Record<string, unknown>>;
  readonly firstWallMs: number;
  readonly lastSeen: Moment;
  readonly gone?: Moment;
}

/** One series with its newest row. */
interface KeptSeries extends Look {
  readonly seriesId: number;
  readonly metric: string;
  readonly place: string;
  readonly unit: Unit;
  readonly source: string;
  readonly lastMonoMs: number;
  readonly lastWallMs: number;
  readonly firstValue: number | null;
}

/** Where kept figures are read from. */
export interface KeptFigures {
  latest(partId: number): readonly KeptSeries[];
  readings(seriesId: number, fromWallMs: number): SeriesHistory['looks'];
  speeds(partId: number): readonly SpeedLook[];
  /** Newest first. */
  events(
    partId: number,
    countMax: number,
  ): readonly (Pick<EventLook, 'kind' | 'positionBytes' | 'text'> & { readonly at: Moment })[];
}

/** What speeds are expected from. */
export interface SpeedKnowledge {
  readonly model: BoxModel | null;
  readonly classes: readonly DriveClass[];
}

/** Histories of figures that change rarely, by series, kept from one judgement to the next. */
export type KnownHistories = Map<number, SeriesHistory['looks']>;

export interface CheckFacts extends SpeedKnowledge {
  readonly figures: KeptFigures;
  readonly known?: KnownHistories;
  /** All parts that are kept. */
  readonly parts: readonly KeptPart[];
  /** All findings so far, open and cleared. */
  readonly findings: readonly Finding[];
  readonly now: Moment;
}

/** Gauges are kept each time they are read, and no rule looks further back than this. */
const gaugeHistoryMs = 24 * 3600_000;

/** No rule counts events: the newest ones tell whether a thing happened since. */
const eventsMax = 50;

/**
 * Everything that the checks may know about one kept part. Throws only what `figures` throws, also
 * later, when a history is looked at.
 */
export function checkInputOf(part: KeptPart, facts: CheckFacts): CheckInput {
  const { figures, findings, now } = facts;
  const { controller } = part.details;
  const shared = typeof controller === 'string' ? controller : null;
  const powerLead = part.kind === 'drive' ? leadOf(facts.model, part.name) : null;
  const enclosure = part.kind === 'drive' ? enclosureOf(facts.model, part.name) : null;
  const about = [part.name, shared, powerLead, enclosure, 'box'];
  const events = readOnce(() => eventsOf(part, figures));
  const kinds = readOnce(() => startKindsOf(facts));
  return {
    subject: part.name,
    kind: part.kind,
    controller: shared,
    powerLead,
    enclosure,
    inModel: part.kind === 'drive' && namesDrive(facts.model, part.name),
    gone: goneSince(part, now.boot),
    lastSeen: part.lastSeen,
    firstWallMs: part.firstWallMs,
    arrays: part.kind === 'drive' ? arraysWith(part.name, facts) : [],
    details: part.details,
    nameOf: (id) => driveName(id, bayOf(id, facts.model)),
    get events() {
      return events();
    },
    get startKinds() {
      return kinds();
    },
    series: figures.latest(part.id).map((latest) => historyOf(facts, latest)),
    speeds: figures.speeds(part.id),
    expectations: expectationsOf(part, facts),
    findings: findings.filter(({ subject }) => about.includes(subject)),
    now,
  };
}

function eventsOf({ id }: KeptPart, figures: KeptFigures): readonly EventLook[] {
  return figures
    .events(id, eventsMax)
    .map(({ kind, positionBytes, text, at }) => ({ kind, positionBytes, text, ...at }));
}

/** Read only when a drive was missing at a start: it is the history of every drive. */
function startKindsOf(facts: CheckFacts): ReadonlyMap<number, StartKind> {
  const drives = facts.parts.filter(({ kind }) => kind === 'drive');
  const counters = drives.flatMap(({ id }) =>
    facts.figures
      .latest(id)
      .filter(({ metric, place }) => metric === 'power-cycles' && place === ''),
  );
  return startKinds(
    counters.map((latest) =>
      numberLooks(historyOf(facts, latest).looks).map(({ boot, value }) => ({ boot, value })),
    ),
  );
}

function arraysWith(
  drive: string,
  { parts, model }: Pick<CheckFacts, 'parts' | 'model'>,
): readonly string[] {
  const has = ({ kind, details: { members } }: KeptPart) =>
    kind === 'array' && Array.isArray(members) && members.includes(drive);
  const planned = (model?.arrays ?? []).filter(({ members }) => members.includes(drive));
  const seen = parts.filter(has);
  return [...new Set([...seen, ...planned].map(({ name }) => name))];
}

function bayOf(serial: string, model: BoxModel | null): string | null {
  return model?.drives.find((one) => one.serial === serial)?.bay ?? null;
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

/**
 * The history of one series, read when a check first looks at it: most series interest no check,
 * and a judgement follows every look at the box.
 */
function historyOf({ figures, known }: CheckFacts, latest: KeptSeries): SeriesHistory {
  const { metric, place, unit, source, seriesId, firstValue } = latest;
  const { kind } = metricInfo(metric);
  const whole = readOnce(() =>
    kind === 'gauge' || known === undefined
      ? figures.readings(seriesId, 0)
      : wholeHistory({ figures, known }, latest),
  );
  const looks =
    kind === 'gauge'
      ? readOnce(() => figures.readings(seriesId, latest.lastWallMs - gaugeHistoryMs))
      : whole;
  const first = readOnce(() => firstOf(whole(), firstValue));
  return {
    metric,
    place,
    unit,
    source,
    get first() {
      return first();
    },
    get looks() {
      return looks();
    },
  };
}

/**
 * All rows of a figure that is kept on change. What was read before still holds when the newest row
 * began at the same moment, by the same calendar: only its end can have moved since.
 */
function wholeHistory(
  { figures, known }: { readonly figures: KeptFigures; readonly known: KnownHistories },
  latest: KeptSeries,
): SeriesHistory['looks'] {
  const before = known.get(latest.seriesId);
  const end = before?.at(-1);
  const isSame =
    end?.boot === latest.boot && end.monoMs === latest.monoMs && end.wallMs === latest.wallMs;
  const looks =
    before !== undefined && isSame
      ? [...before.slice(0, -1), latest]
      : figures.readings(latest.seriesId, 0);
  known.set(latest.seriesId, looks);
  return looks;
}

function readOnce<T>(read: () => T): () => T {
  let known: { readonly value: T } | null = null;
  return () => {
    known ??= { value: read() };
    return known.value;
  };
}

function firstOf(
  looks: SeriesHistory['looks'],
  value: number | null,
): NonNullable<SeriesHistory['first']> | null {
  const first = value === null ? undefined : looks.find(({ state }) => state === 'measured');
  if (first === undefined || value === null) return null;
  const { boot, monoMs, wallMs } = first;
  return { boot, monoMs, wallMs, value };
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
