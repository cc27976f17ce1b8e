/**
 * What is written: events with the number of the newest log record that they were made from, both
 * in one transaction. A cut leaves either both or neither, so that no event is missed and none is
 * kept twice; one that is there already stays as it is. Runs inside a transaction of its caller.
 */
import type { Database } from 'better-sqlite3';
import type { EventsToKeep, Instant } from './rows.js';

export type EventWriting = (at: Instant, events: EventsToKeep) => void;

export function eventWriting(db: Database): EventWriting {
  const partOf = db.prepare('SELECT id FROM part WHERE identity_key = ?').pluck();
  const insert = db.prepare(
    `INSERT OR IGNORE INTO event
       (boot, key, mono_ms, wall_ms, part_id, kind, position_bytes, text, record)
     VALUES (@boot, @key, @monoMs, @wallMs, @partId, @kind, @positionBytes, @text, @record)`,
  );
  const mark = db.prepare(
    `INSERT INTO log_mark (boot, sequence) VALUES (@boot, @sequence)
     ON CONFLICT (boot) DO UPDATE SET sequence = max(sequence, excluded.sequence)`,
  );
  return ({ boot, monoMs, wallMs }, { events, logReadTo }) => {
    for (const { identityKey, event } of events) {
      const at = Math.round(event.monoMs);
      insert.run({
        ...event,
        boot,
        monoMs: at,
        wallMs: wallMs - (monoMs - at),
        partId: identityKey === null ? null : (partOf.get(identityKey) ?? null),
      });
    }
    if (logReadTo !== null) mark.run({ boot, sequence: logReadTo });
  };
}
