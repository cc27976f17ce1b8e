import { type Answer, answered, missing } from '../box/box.js';
import {
  eventLogEntryCommand,
  eventLogInfoCommand,
  eventLogTimeCommand,
} from '../box/layouts/ipmi-commands.js';
import {
  decodeEventLogEntry,
  decodeEventLogInfo,
  decodeEventLogTime,
  type EventLogAnswer,
  type EventLogEntry,
  type EventLogInfo,
} from '../box/layouts/ipmi-event-log.js';
import type { ControllerLogMark } from '../store/rows.js';
import { decoded } from './decoded.js';
import type { AskController } from './management-sensors.js';

export interface ControllerLogLook {
  readonly info: EventLogInfo;
  /** The controller's clock when it was asked. */
  readonly clock: number | null;
  /** Entries after the mark, oldest first. */
  readonly entries: readonly EventLogEntry[];
  /** Somebody cleared the log since the mark was set. */
  readonly cleared: boolean;
  /** The entry of the mark is gone, so that others may have been overwritten unread. */
  readonly lost: boolean;
  /** Why entries are left for the next look, or null. */
  readonly why: string | null;
  readonly mark: ControllerLogMark;
}

/** So that the first look at a full log does not hold up the box: the rest comes next time. */
const entriesAtOnce = 400;
const oldest = 0;

/** Reads what is new in a controller's log: nothing but its state when nothing is. */
export async function readControllerLog(
  ask: AskController,
  mark: ControllerLogMark | null,
): Promise<Answer<ControllerLogLook>> {
  const info = await asked(ask, eventLogInfoCommand, decodeEventLogInfo);
  if (!info.ok) return info;
  const clock = await asked(ask, eventLogTimeCommand, decodeEventLogTime);
  const told = { info: info.value, clock: clock.ok ? clock.value : null };
  if (mark !== null && isUnchanged(mark, info.value)) {
    return answered({ ...told, entries: [], cleared: false, lost: false, why: null, mark });
  }
  const cleared = mark !== null && wasCleared(mark, info.value);
  const walk = await walkFrom(ask, cleared ? null : mark);
  const last = walk.entries.at(-1) ?? null;
  const before = cleared || walk.lost ? null : mark;
  const left = walk.why !== null;
  return answered({
    ...told,
    entries: walk.entries,
    cleared,
    lost: walk.lost,
    why: walk.why,
    mark: {
      entryId: last?.id ?? before?.entryId ?? null,
      record: last?.record ?? before?.record ?? '',
      // An unfinished walk is not "unchanged" at the next look.
      lastAddition: left ? null : info.value.lastAddition,
      lastErase: info.value.lastErase,
      entries: left ? -1 : info.value.entries,
    },
  });
}

function isUnchanged(mark: ControllerLogMark, info: EventLogInfo): boolean {
  return (
    mark.entries === info.entries &&
    mark.lastAddition === info.lastAddition &&
    mark.lastErase === info.lastErase
  );
}

/** A controller that tells no time of erasing has at least fewer entries afterwards. */
function wasCleared(mark: ControllerLogMark, info: EventLogInfo): boolean {
  return mark.lastErase !== info.lastErase || mark.entries > info.entries;
}

interface Walk {
  readonly entries: readonly EventLogEntry[];
  readonly lost: boolean;
  readonly why: string | null;
}

async function walkFrom(ask: AskController, mark: ControllerLogMark | null): Promise<Walk> {
  if (mark === null || mark.entryId === null) return { ...(await walk(ask, oldest)), lost: false };
  const at = await entryAt(ask, mark.entryId);
  if (at.ok && at.value.entry.record === mark.record) {
    const { next } = at.value;
    return next === null
      ? { entries: [], lost: false, why: null }
      : { ...(await walk(ask, next)), lost: false };
  }
  if (!at.ok && at.absence.kind !== 'not-there' && at.absence.kind !== 'refused') {
    return { entries: [], lost: false, why: at.absence.text };
  }
  return { ...(await walk(ask, oldest)), lost: true };
}

async function walk(ask: AskController, from: number): Promise<Omit<Walk, 'lost'>> {
  const entries: EventLogEntry[] = [];
  const seen = new Set<number>();
  for (let id: number | null = from; id !== null; ) {
    if (entries.length >= entriesAtOnce) return { entries, why: 'The rest is read next time' };
    if (seen.has(id)) return { entries, why: null };
    seen.add(id);
    const answer: Answer<EventLogAnswer> = await entryAt(ask, id);
    if (!answer.ok) {
      const isEmpty = id === oldest && answer.absence.kind === 'not-there';
      return { entries, why: isEmpty ? null : answer.absence.text };
    }
    entries.push(answer.value.entry);
    id = answer.value.next;
  }
  return { entries, why: null };
}

function entryAt(ask: AskController, id: number): Promise<Answer<EventLogAnswer>> {
  return asked(ask, eventLogEntryCommand(id), decodeEventLogEntry);
}

async function asked<T>(
  ask: AskController,
  command: Parameters<AskController>[0],
  decode: (data: Uint8Array) => T,
): Promise<Answer<T>> {
  const answer = await ask(command);
  if (!answer.ok) return missing(answer.absence.kind, answer.absence.text);
  return decoded(() => decode(answer.value));
}
