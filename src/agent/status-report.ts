import type { Finding, Urgency } from '../checks/finding.js';
import { goneSince, lastPlace } from '../checks/gone.js';
import { identityDoubt } from '../checks/identity-doubt.js';
import type { PartKind } from '../checks/part.js';
import type { AgentStatus } from '../checks/request.js';
import { readingStateWords } from '../checks/state-words.js';
import type {
  StatusEvent,
  StatusFigure,
  StatusFinding,
  StatusGroup,
  StatusPart,
  StatusReport,
} from '../checks/status-report.js';
import { formatBytes, formatValue } from '../checks/units.js';
import { wordFinding } from '../checks/wording.js';
import { figureOf, hoursOf } from './status-figures.js';
import { absencesOf, ageWords, sentencesOf } from './status-sentences.js';
import type { Instant, LatestReading, PartRow } from './store/rows.js';
import type { StoreReader } from './store/store.js';

export interface StatusOptions {
  readonly nowWallMs: number;
  /** Bay of a drive by its serial, from the model file; null where it is not told. */
  readonly bayOf?: (serial: string) => string | null;
}

const groupsOfParts: readonly {
  readonly kind: PartKind;
  readonly title: string;
  readonly key: string;
}[] = [
  { kind: 'drive', title: 'Drives', key: 'drives' },
  { kind: 'disk-controller', title: 'Disk controllers', key: 'disk-controllers' },
  { kind: 'network-card', title: 'Network cards', key: 'network-cards' },
  { kind: 'array', title: 'Arrays', key: 'arrays' },
  { kind: 'memory', title: 'Memory', key: 'memory' },
  { kind: 'box', title: 'The box itself', key: 'box' },
  { kind: 'sensor-chip', title: 'Sensors of the board', key: 'sensor-chips' },
  { kind: 'management-controller', title: 'Management controller', key: 'management-controller' },
];

/** Empty groups of figures that are no parts, told after the parts. */
const figureGroups: readonly string[] = [
  'temperature-sensors',
  'fans',
  'sata-links',
  'memory-errors',
  'kernel-log',
  'management-records',
];

const urgencyOrder: readonly Urgency[] = ['today', 'soon', 'for-the-record'];

/**
 * What the box is and how it is, every part once. `store` is null before anything was stored,
 * `agent` when it does not answer; both together still give a report that says so.
 */
export function buildStatusReport(
  store: StoreReader | null,
  agent: AgentStatus | null,
  options: StatusOptions,
): StatusReport {
  const parts = store?.parts() ?? [];
  const newestBoot = Math.max(0, ...(store?.boots() ?? []).map(({ id }) => id));
  const name = (part: PartRow) => partName(part, options);
  const nameOf = (id: string) => nameOfSubject(parts, id, name);
  const emptyWhy = agent?.emptyWhy ?? {};
  return {
    machine: agent?.machine ?? null,
    agent: agentSentence(store, agent, options.nowWallMs),
    findings: findingsOf(store, nameOf),
    running: agent?.running ?? [],
    groups: groupsOfParts.map(({ kind, title, key }): StatusGroup => {
      const own = parts.filter((part) => part.kind === kind);
      return {
        kind,
        title,
        parts: own.map((part) => partOf(part, { store, newestBoot, name, nameOf, options })),
        emptyWhy: own.length > 0 ? null : (emptyWhy[key] ?? unknownWhy(agent)),
      };
    }),
    emptyWhy: Object.fromEntries(
      figureGroups.flatMap((key) => (emptyWhy[key] === undefined ? [] : [[key, emptyWhy[key]]])),
    ),
    limits: agent?.limits ?? [],
    remarks: agent?.inventoryRemarks ?? [],
    happened: happenedLately(store, { parts, name, nowWallMs: options.nowWallMs }),
  };
}

const eventsMax = 20;

function happenedLately(
  store: StoreReader | null,
  { parts, name, nowWallMs }: HappenedTo,
): readonly StatusEvent[] {
  return (store?.events(null, eventsMax) ?? []).map((event) => {
    const { kind, partId, at, positionBytes, text, record } = event;
    const part = parts.find(({ id }) => id === partId);
    const where = part === undefined ? '' : `${name(part)}: `;
    const place = positionBytes === null ? '' : `, at ${formatBytes(positionBytes)} from its start`;
    return {
      kind,
      part: part?.name ?? null,
      boot: at.boot,
      ageMs: nowWallMs >= at.wallMs ? nowWallMs - at.wallMs : null,
      positionBytes,
      record,
      sentence: `${where}${text}${place}, ${ageWords(at.wallMs, nowWallMs)}.`,
    };
  });
}

interface HappenedTo {
  readonly parts: readonly PartRow[];
  readonly name: (part: PartRow) => string;
  readonly nowWallMs: number;
}

function unknownWhy(agent: AgentStatus | null): string {
  return agent === null
    ? 'None is stored, and the agent does not answer to say why'
    : 'None was found; the agent gave no reason';
}

function agentSentence(
  store: StoreReader | null,
  agent: AgentStatus | null,
  nowWallMs: number,
): StatusReport['agent'] {
  if (agent !== null) {
    const sentence = `The agent is running (version ${agent.version}, boot ${agent.boot} of this box).`;
    return { answers: true, sentence, stoppedSinceWallMs: null };
  }
  const newest = store?.boots().at(-1) ?? null;
  if (newest === null) {
    const sentence = 'The agent does not answer, and nothing has been stored yet.';
    return { answers: false, sentence, stoppedSinceWallMs: null };
  }
  const age = ageWords(newest.lastWallMs, nowWallMs);
  return {
    answers: false,
    sentence: `The agent does not answer; it last stored something ${age}. What follows is from then.`,
    stoppedSinceWallMs: newest.lastWallMs,
  };
}

function findingsOf(
  store: StoreReader | null,
  nameOf: (subject: string) => string,
): readonly StatusFinding[] {
  const open = [...(store?.findings('open') ?? [])].sort(byUrgency);
  return open.map((finding) => ({
    ...wordFinding(finding, nameOf(finding.subject)),
    id: finding.id,
    code: finding.code,
    subject: finding.subject,
    urgency: finding.urgency,
    acknowledged: finding.acknowledged,
    openedWallMs: finding.openedWallMs,
  }));
}

function byUrgency(one: Finding, other: Finding): number {
  const order = urgencyOrder.indexOf(one.urgency) - urgencyOrder.indexOf(other.urgency);
  return order || one.id - other.id;
}

function nameOfSubject(
  parts: readonly PartRow[],
  subject: string,
  name: (part: PartRow) => string,
): string {
  const part = parts.find((one) => one.name === subject);
  return part === undefined ? subject : name(part);
}

interface PartContext {
  readonly store: StoreReader | null;
  readonly newestBoot: number;
  readonly name: (part: PartRow) => string;
  /** The same by its id in the store. */
  readonly nameOf: (id: string) => string;
  readonly options: StatusOptions;
}

function partOf(part: PartRow, context: PartContext): StatusPart {
  const { nowWallMs } = context.options;
  const latest = context.store?.latest(part.id) ?? [];
  const since = goneSince(part, context.newestBoot);
  if (since !== null) return gonePart(part, { latest, since, context });
  const doubt = identityDoubt(part);
  return {
    kind: part.kind,
    id: part.name,
    name: context.name(part),
    label: labelOf(part),
    present: true,
    ...(doubt === null ? {} : { identityDoubt: doubt }),
    sentences: [
      ...(doubt === null ? [] : [doubt.why, doubt.nextStep]),
      ...sentencesOf(part, latest, { nowWallMs, nameOf: context.nameOf }),
    ],
    absences: absencesOf(latest),
    figures: latest.map((reading) => figureOf(reading, nowWallMs)),
    hourCounters: part.kind === 'drive' ? hoursOf(latest) : [],
  };
}

interface GonePart {
  readonly latest: readonly LatestReading[];
  readonly since: Instant;
  readonly context: PartContext;
}

/** Nothing is known of it now, so no figure counts; what it last was stands in words behind. */
function gonePart(part: PartRow, { latest, since, context }: GonePart): StatusPart {
  const { nowWallMs } = context.options;
  const place = lastPlace(part.details);
  const age = ageWords(since.wallMs, nowWallMs);
  const words =
    part.gone === undefined
      ? `It was not found in this boot; last seen ${age}`
      : `It is gone: a look at the box did not find it any more ${age}`;
  const figures = latest.map((reading) => figureOf(reading, nowWallMs));
  return {
    kind: part.kind,
    id: part.name,
    name: context.name(part),
    label: labelOf(part),
    present: false,
    gone: { ageMs: nowWallMs >= since.wallMs ? nowWallMs - since.wallMs : null, lastPlace: place },
    sentences: [
      `${words}.`,
      ...(place === null ? [] : [`It was last seen at ${place}.`]),
      'Nothing is known of it now.',
    ],
    absences: [],
    figures: figures.map((figure) => ({
      ...figure,
      value: null,
      state: 'no-figure',
      text: wasWords(figure),
    })),
    hourCounters: [],
  };
}

function wasWords({ value, unit, text, state }: StatusFigure): string {
  if (value === null) return `The part is gone; before it was "${readingStateWords[state]}"`;
  return `The part is gone; it was last ${text === '' ? formatValue(value, unit) : `"${text}"`}`;
}

/** A drive by its bay and the last four of its serial; other parts by their id in the model. */
function partName(part: PartRow, { bayOf }: StatusOptions): string {
  const serial = part.details.serial;
  if (identityDoubt(part) !== null) return part.name;
  if (part.kind !== 'drive' || typeof serial !== 'string' || serial === '') return part.name;
  const bay = bayOf?.(serial) ?? null;
  const lastFour = serial.slice(-4);
  return bay === null ? `Drive … ${lastFour}` : `Bay ${bay} · ${lastFour}`;
}

function labelOf({ label, kind, details }: PartRow): string {
  if (label !== '') return label;
  return kind === 'drive' && details.reachedBy === 'virtual' ? 'Virtual disk' : 'Model not told';
}
