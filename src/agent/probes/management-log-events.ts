import type { BoxEvent } from '../../checks/event.js';
import { clockWords } from '../../checks/management-words.js';
import type { ManagementSeen } from '../../checks/part.js';
import { measured, type Reading } from '../../checks/reading.js';
import { formatDuration } from '../../checks/units.js';
import type { EventLogEntry, EventLogInfo, EventTime } from '../box/layouts/ipmi-event-log.js';
import type { SensorRecord } from '../box/layouts/ipmi-sensor-list.js';
import type { EventsToKeep, Instant } from '../store/rows.js';
import { loggedEvent } from './management-events.js';
import type { ControllerLogLook } from './management-log.js';

export interface LogSurroundings {
  readonly seen: ManagementSeen;
  readonly sensors: readonly SensorRecord[];
  readonly now: Instant;
}

/** Events of one look at a controller's log, with how far it was read. Pure. */
export function controllerEvents(
  look: ControllerLogLook,
  { seen, sensors, now }: LogSurroundings,
): EventsToKeep {
  const { identityKey } = seen;
  const keep = (event: BoxEvent) => ({ identityKey, event, onceEver: true });
  return {
    events: [
      ...gapEvents(look, now).map(keep),
      ...look.entries.map((entry) => keep(entryEvent(entry, { look, sensors, now }))),
    ],
    logReadTo: null,
    controllerLog: { identityKey, mark: look.mark },
  };
}

function gapEvents({ cleared, lost, info, mark }: ControllerLogLook, now: Instant): BoxEvent[] {
  const at = { monoMs: now.monoMs, positionBytes: null, record: '' };
  if (cleared) {
    const key = `controller:cleared:${info.lastErase ?? 'unknown'}`;
    const text = 'Somebody cleared the log of the board’s controller since it was last read';
    return [{ ...at, key, kind: 'controller-log-cleared', text }];
  }
  if (!lost) return [];
  const key = `controller:lost:${mark.record}`;
  const text =
    'The newest entry read before is gone from the controller’s log: others may have gone unread';
  return [{ ...at, key, kind: 'log-gap', text }];
}

interface EntrySurroundings {
  readonly look: ControllerLogLook;
  readonly sensors: readonly SensorRecord[];
  readonly now: Instant;
}

/** The bytes of an entry hold its number and time: they tell it apart until the log is cleared. */
function entryEvent(entry: EventLogEntry, { look, sensors, now }: EntrySurroundings): BoxEvent {
  const { kind, text } = loggedEvent(entry, sensors);
  const agoMs = millisecondsAgo(entry.time, { clock: look.clock, now });
  return {
    kind,
    key: `controller:${look.info.lastErase ?? 'never'}:${entry.record}`,
    monoMs: now.monoMs - (agoMs ?? 0),
    positionBytes: null,
    text: agoMs === null ? `${text}${timeWords(entry.time)}` : text,
    record: entry.record,
  };
}

/**
 * Both times are the controller's own, so that a clock that runs wrong does no harm; null where the
 * entry's time cannot be told.
 */
function millisecondsAgo(
  time: EventTime,
  { clock, now }: { readonly clock: number | null; readonly now: Instant },
): number | null {
  if (time.known !== 'seconds') return null;
  const ago = (clock ?? Math.round(now.wallMs / 1000)) - time.seconds;
  return ago < 0 ? null : ago * 1000;
}

function timeWords(time: EventTime): string {
  return time.known === 'since-start'
    ? `, ${formatDuration(time.seconds)} after the controller started, nobody knows when`
    : ', at a time that the controller did not know';
}

const entryBytes = 16;

/** How full the log is, and how far the controller's clock is off. Pure. */
export function controllerLogReadings(
  { info, clock }: Pick<ControllerLogLook, 'info' | 'clock'>,
  now: Instant,
): readonly Reading[] {
  const source = 'Management controller, state of its event log';
  const entries = measured(
    { metric: 'controller-log-entries', unit: 'count', source },
    info.entries,
    info.overflowed ? 'an event was dropped because the log was full' : undefined,
  );
  return [...usedReading(info, source), entries, ...clockReading(clock, now)];
}

function usedReading({ entries, freeBytes }: EventLogInfo, source: string): readonly Reading[] {
  if (freeBytes === null) return [];
  const used = entries * entryBytes;
  const share = used + freeBytes === 0 ? 0 : (100 * used) / (used + freeBytes);
  return [measured({ metric: 'controller-log-used', unit: 'percent', source }, Math.round(share))];
}

function clockReading(clock: number | null, { wallMs }: Instant): readonly Reading[] {
  if (clock === null) return [];
  const source = 'Management controller, clock of its event log';
  const minutes = Math.round((clock - wallMs / 1000) / 60) + 0;
  const figure = { metric: 'controller-clock-ahead', unit: 'minutes', source } as const;
  return [measured(figure, minutes, clockWords(minutes))];
}
