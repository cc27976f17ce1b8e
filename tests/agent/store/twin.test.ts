/** Seeded lists of operations on the store and on a plain twin in memory; both must agree. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Reading } from '../../../src/checks/reading.js';
import { asleep, driveA, driveB, figure, newYear, temporaryStore } from './temporary-store.js';

interface TwinRow {
  boot: number;
  monoMs: number;
  lastMonoMs: number;
  state: string;
  value: number | null;
  text: string;
}

/** What the store promises, in the plainest way. */
class Twin {
  readonly rows = new Map<string, TwinRow[]>();
  readonly first = new Map<string, number>();

  keep(key: string, gauge: boolean, now: { boot: number; mono: number; reading: Reading }): void {
    const { boot, mono, reading } = now;
    const rows = this.rows.get(key) ?? [];
    this.rows.set(key, rows);
    const text = reading.why ?? reading.text ?? '';
    const last = rows.at(-1);
    const same =
      last?.boot === boot &&
      last.state === reading.state &&
      last.value === reading.value &&
      last.text === text;
    if (last !== undefined && same && !(gauge && reading.state === 'measured')) {
      last.lastMonoMs = mono;
    } else {
      const { state, value } = reading;
      rows.push({ boot, monoMs: mono, lastMonoMs: mono, state, value, text });
    }
    if (reading.value !== null && !this.first.has(key)) this.first.set(key, reading.value);
  }
}

const readings = fc.record({
  part: fc.constantFrom(0, 1),
  metric: fc.constantFrom('temperature', 'crc-errors', 'power-mode'),
  kind: fc.constantFrom('number', 'number', 'number', 'asleep', 'hidden'),
  value: fc.integer({ min: 0, max: 3 }),
});

const operations = fc.oneof(
  { weight: 12, arbitrary: fc.record({ readings: fc.array(readings, { maxLength: 4 }) }) },
  { weight: 2, arbitrary: fc.constant({ newBoot: true as const }) },
  { weight: 1, arbitrary: fc.constant({ reopen: true as const }) },
  { weight: 1, arbitrary: fc.constant({ sameBoot: true as const }) },
);

function toReading({ metric, kind, value }: { metric: string; kind: string; value: number }) {
  if (kind === 'number') return figure(metric, value);
  return asleep(metric, kind === 'asleep' ? 'It sleeps' : 'It is hidden');
}

test('the store agrees with its twin after any list of operations', () => {
  const run = fc.property(fc.array(operations, { maxLength: 40 }), (list) => {
    const room = temporaryStore();
    try {
      const twin = new Twin();
      const { clock } = room;
      let boot = room.store.beginBoot(clock.bootId, clock.wall);
      let boots = 1;
      const ids = [driveA, driveB].map(
        (part) => room.store.keepPart(part, { boot, monoMs: 0, wallMs: clock.wall }).id,
      );
      for (const operation of list) {
        clock.mono += 1000;
        clock.wall += 1000;
        if ('newBoot' in operation) {
          boots += 1;
          clock.bootId = `boot-${boots}`;
          clock.mono = 0;
          boot = room.store.beginBoot(clock.bootId, clock.wall);
          expect(boot).toBe(boots);
        } else if ('reopen' in operation) {
          room.reopen();
        } else if ('sameBoot' in operation) {
          expect(room.store.beginBoot(clock.bootId, clock.wall)).toBe(boot);
        } else {
          // One call may carry one figure of a series; a later one replaces an earlier one.
          const unique = new Map(
            operation.readings.map((one) => [`${one.part} ${one.metric}`, one]),
          );
          for (const [key, one] of unique) {
            const reading = toReading(one);
            const moment = { boot, monoMs: clock.mono, wallMs: clock.wall };
            room.store.keepReadings(ids[one.part]!, moment, [reading]);
            twin.keep(key, one.metric === 'temperature', { boot, mono: clock.mono, reading });
          }
        }
      }
      for (const [key, rows] of twin.rows) {
        const [part, metric] = key.split(' ') as [string, string];
        const [series] = room.store.series(ids[Number(part)]!, metric);
        const found = room.store.readings(series!.id, newYear - 1);
        expect(found).toMatchObject(rows);
        expect(found.length).toBe(rows.length);
        const latest = room.store.latest(ids[Number(part)]!).find((row) => row.metric === metric);
        expect(latest).toMatchObject(rows.at(-1)!);
        expect(latest?.firstValue).toBe(twin.first.get(key) ?? null);
      }
      expect(room.store.boots().length).toBe(boots);
      expect(room.store.boots().every(({ wallTrusted }) => wallTrusted)).toBe(true);
    } finally {
      room.remove();
    }
  });
  fc.assert(run, { seed: 20260101, numRuns: 60 });
});
