import type { BootRow, LatestReading, PartRow } from '../agent/store/rows.js';
import type { StoreReader } from '../agent/store/store.js';
import { arrayActivity } from '../checks/array-state.js';
import { goneSince, lastPlace } from '../checks/gone.js';
import { type IdentityDoubt, identityDoubt } from '../checks/identity-doubt.js';
import type { AgentStatus, RunningWork } from '../checks/request.js';
import {
  type ArrayActivity,
  type DriveSelfTest,
  type SwitchOffAnswer,
  safeToSwitchOff,
} from '../checks/safe-to-switch-off.js';
import type { AgentView } from './agent-view.js';
import { partTitle, subjectTitle, textDetail } from './part-name.js';
import { partSentence } from './part-sentence.js';
import { partGroups } from './words.js';

export interface PartLine {
  readonly part: PartRow;
  readonly sentence: string;
  /** Newest moment that anything was read from it, or null when nothing ever was. */
  readonly newestWallMs: number | null;
  /** Since when the part is gone, in milliseconds of the calendar, or null while it is there. */
  readonly goneWallMs: number | null;
  /** Where it was plugged in when it was last seen, where that was told. */
  readonly lastPlace: string | null;
  /** Why a drive cannot be told from others by its own name, or null. */
  readonly doubt: IdentityDoubt | null;
}

export interface PartGroupView {
  readonly title: string;
  readonly lines: readonly PartLine[];
  /** Why the group is empty, or null when it is not. */
  readonly emptyWhy: string | null;
}

/** Every part once, in groups; a group without parts says why. */
export function partGroupViews(
  store: StoreReader,
  parts: readonly PartRow[],
  agent: AgentView,
): readonly PartGroupView[] {
  const newestBoot = newestBootOf(store.boots());
  return partGroups.flatMap(({ kind, title, keys }) => {
    const ofKind = parts.filter((part) => part.kind === kind);
    const why = emptyReason(agent, keys);
    if (ofKind.length === 0 && why === null) return [];
    const lines = ofKind.map((part) => lineOf(store, part, { newestBoot, parts })).sort(byBay);
    return [{ title, lines, emptyWhy: lines.length > 0 ? null : why }];
  });
}

/** What is there before what is not, by bay as a person counts them; the rest as it was found. */
function byBay(one: PartLine, other: PartLine): number {
  const isGone = one.goneWallMs !== null;
  if (isGone !== (other.goneWallMs !== null)) return isGone ? 1 : -1;
  const [left, right] = [textDetail(one.part, 'bay'), textDetail(other.part, 'bay')];
  if (left === null || right === null) return Number(left === null) - Number(right === null);
  return left.localeCompare(right, 'en', { numeric: true });
}

/** The sentence for a group that has no parts, or null for groups that are then left out. */
function emptyReason(agent: AgentView, keys: readonly string[]): string | null {
  if (keys.length === 0) return null;
  if (!agent.answers) return 'None is stored, and the agent does not answer to say why';
  const told = agent.status.emptyWhy ?? {};
  const reasons = keys.flatMap((key) => told[key] ?? []);
  return reasons[0] ?? 'None was found; the agent gave no reason';
}

interface LineContext {
  readonly newestBoot: number;
  readonly parts: readonly PartRow[];
}

function lineOf(store: StoreReader, part: PartRow, { newestBoot, parts }: LineContext): PartLine {
  const latest = store.latest(part.id);
  return {
    part,
    sentence: partSentence(part, latest, parts),
    newestWallMs: newestWallMs(latest),
    goneWallMs: goneSince(part, newestBoot)?.wallMs ?? null,
    lastPlace: lastPlace(part.details, (name) => subjectTitle(name, parts)),
    doubt: identityDoubt(part),
  };
}

export function newestWallMs(latest: readonly LatestReading[]): number | null {
  return latest.length === 0 ? null : Math.max(...latest.map((reading) => reading.lastWallMs));
}

export function newestBootOf(boots: readonly BootRow[]): number {
  return Math.max(0, ...boots.map((boot) => boot.id));
}

/** What is known when "Safe to switch off?" is answered. */
export interface SwitchOffView {
  readonly agent: AgentView;
  readonly nowMs: number;
  /** Null where the store is not asked. */
  readonly store: StoreReader | null;
  readonly parts: readonly PartRow[];
}

/** "Safe to switch off?" from what the agent says now and the newest readings of this boot. */
export function switchOffView({ agent, nowMs, store, parts }: SwitchOffView): SwitchOffAnswer {
  const named = (work: RunningWork) => ({ ...work, drive: subjectTitle(work.drive, parts) });
  return safeToSwitchOff({
    running: agent.answers ? agent.status.running.map(named) : null,
    arrays: store !== null && agent.answers ? arraysOf(store, parts, agent.status) : null,
    selfTests: store !== null && agent.answers ? selfTestsOf(store, parts, agent.status.boot) : [],
    nowMs,
  });
}

/**
 * Arrays as they were read in this boot. Null when the agent has not looked for arrays at all, or
 * when one that it found has not told what it does: then nothing is claimed about arrays.
 */
function arraysOf(
  store: StoreReader,
  parts: readonly PartRow[],
  { boot, emptyWhy }: AgentStatus,
): readonly ArrayActivity[] | null {
  const here = parts.filter((part) => part.kind === 'array' && goneSince(part, boot) === null);
  if (here.length === 0) return emptyWhy?.arrays === undefined ? null : [];
  const activities = here.map((part) => {
    const latest = store.latest(part.id).filter((one) => one.boot === boot);
    return arrayActivity(part.label || `Array ${part.name}`, latest);
  });
  const told = activities.filter((one) => one !== null);
  const isDoing = told.some(({ doing }) => doing !== 'nothing');
  return told.length === activities.length || isDoing ? told : null;
}

function selfTestsOf(
  store: StoreReader,
  parts: readonly PartRow[],
  boot: number,
): readonly DriveSelfTest[] {
  return parts.flatMap((part) => {
    if (part.kind !== 'drive' || goneSince(part, boot) !== null) return [];
    const running = store
      .latest(part.id)
      .find((one) => one.metric === 'self-test-running' && one.boot === boot);
    if (running === undefined || running.value === null || running.value <= 0) return [];
    return [{ drive: partTitle(part), percentLeft: running.value }];
  });
}
