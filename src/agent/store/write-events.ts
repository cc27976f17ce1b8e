/**
 * What is written: events with the number of the newest log record that they were made from, or
 * with how far a controller's log was read, all in one transaction. A cut leaves either both or
 * neither, so that no event is missed and none is kept twice; one that is there already stays as it
 * is. Runs inside a transaction of its caller.
 */
import type { Database } from 'better-sqlite3';
import type { ControllerLogMark, EventsToKeep, Instant } from './rows.js';

export type EventWriting = (at: Instant, events: EventsToKeep) => void;

export function eventWriting(db: Database): EventWriting {
  const partOf = db.prepare('SELECT id FROM part WHERE identity_key = ?').pluck();
  const insert = db.prepare(
    `INSERT OR IGNORE INTO event
       (boot, key, mono_ms, wall_ms, part_id, kind, position_bytes, text, record)
     VALUES (@boot, @key, @monoMs, @wallMs, @partId, @kind, @positionBytes, @text, @record)`,
  );
  const isThere = db
    .prepare('SELECT 1 FROM event WHERE part_id IS @partId AND key = @key LIMIT 1')
    .pluck();
  const markController = controllerMarking(db);
  const mark = db.prepare(
    `INSERT INTO log_mark (boot, sequence) VALUES (@boot, @sequence)
     ON CONFLICT (boot) DO UPDATE SET sequence = max(sequence, excluded.sequence)`,
  );
  return ({ boot, monoMs, wallMs }, { events, logReadTo, controllerLog }) => {
    for (const { identityKey, event, onceEver } of events) {
      const at = Math.round(event.monoMs);
      const partId = identityKey === null ? null : (partOf.get(identityKey) ?? null);
      if (onceEver === true && isThere.get({ partId, key: event.key }) !== undefined) continue;
      insert.run({
        ...event,
        boot,
        monoMs: at,
        wallMs: wallMs - (monoMs - at),
        partId,
      });
    }
    if (logReadTo !== null) mark.run({ boot, sequence: logReadTo });
    if (controllerLog !== undefined) markController(controllerLog.identityKey, controllerLog.mark);
  };
}

function controllerMarking(db: Database) {
  const set = db.prepare(
    `INSERT INTO controller_log
       (part_id, entry_id, record, last_addition, last_erase, entries)
     SELECT id, @entryId, @record, @lastAddition, @lastErase, @entries
     FROM part WHERE identity_key = @identityKey
     ON CONFLICT (part_id) DO UPDATE SET entry_id = excluded.entry_id,
       record = excluded.record, last_addition = excluded.last_addition,
       last_erase = excluded.last_erase, entries = excluded.entries`,
  );
  return (identityKey: string, mark: ControllerLogMark) => set.run({ ...mark, identityKey });
}
