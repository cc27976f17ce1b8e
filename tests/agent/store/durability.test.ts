/** Nothing acknowledged is lost to kill -9; a call whose n-th statement fails leaves no trace. */
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { afterEach, describe, expect, test, vi } from 'vitest';
import type { StoreWriter } from '../../../src/agent/store/store.js';
import { openStore } from '../../../src/agent/store/write.js';
import { bundleChild, startChild } from './child.js';
import { anyBurnIn, anyCapture, anyFinding, anySpeed } from './examples.js';
import {
  asleep,
  at,
  day,
  driveA,
  driveB,
  figure,
  hour,
  newYear,
  setClock,
  temporaryFolder,
  temporaryStore,
} from './temporary-store.js';

afterEach(() => {
  vi.restoreAllMocks();
});

test('a writer killed again and again keeps every journal entry that it acknowledged', async () => {
  const rounds = 8;
  const program = bundleChild('child-writer');
  const folder = temporaryFolder();
  const path = join(folder, 'store.sqlite');
  const pauses = fc.sample(fc.integer({ min: 5, max: 150 }), { seed: 20260103, numRuns: rounds });
  try {
    let kept = 0;
    for (const pause of pauses) {
      const child = startChild(program, [path]);
      await child.said('\n');
      await new Promise((resolve) => setTimeout(resolve, pause));
      await child.kill();
      const acknowledged = child.lines().map(Number);
      expect(acknowledged[0]).toBe(kept + 1);

      const store = openStore(path, setClock());
      const journal = store.journal(1).map(({ entry }) => entry);
      store.close();
      expect(journal).toEqual(Array.from(journal, (_, index) => index + 1));
      // One entry may have been stored without its acknowledgement coming through.
      const spare = journal.length - acknowledged.at(-1)!;
      expect([0, 1]).toContain(spare);
      kept = journal.length;
    }
    expect(kept).toBeGreaterThan(rounds);
  } finally {
    rmSync(folder, { recursive: true, force: true });
    rmSync(program, { force: true });
  }
}, 60_000);

test('burn-ins and their journal are committed with full sync, the rest without', () => {
  const room = temporaryStore();
  const boot = room.store.beginBoot('boot-1', newYear);
  const { id } = room.store.keepPart(driveA, at(boot, 0));
  const pragma = vi.spyOn(Database.prototype, 'pragma');
  const syncs = (work: () => unknown) => {
    pragma.mockClear();
    work();
    return pragma.mock.calls.map(([text]) => text);
  };
  const durable = ['synchronous = FULL', 'synchronous = NORMAL'];
  expect(syncs(() => room.store.startBurnIn(anyBurnIn(id, at(boot, 1))))).toEqual(durable);
  expect(syncs(() => room.store.appendJournal(1, at(boot, 2), 'intent', {}))).toEqual(durable);
  expect(syncs(() => room.store.updateBurnIn(1, at(boot, 3), 'paused', null))).toEqual(durable);
  expect(syncs(() => room.store.keepReadings(id, at(boot, 4), []))).toEqual([]);
  // Also when the entry is refused.
  expect(
    syncs(() => expect(() => room.store.appendJournal(9, at(boot, 5), 'event', {})).toThrow()),
  ).toEqual(durable);
  room.remove();
});

describe('when the n-th statement of a call fails', () => {
  const calls: Record<string, (store: StoreWriter) => unknown> = {
    beginBoot: (store) => store.beginBoot('boot-new', newYear + 2 * day),
    'a clock put right': (store) =>
      store.keepReadings(1, at(1, 5000, newYear + 300 * day), [figure('temperature', 1)]),
    markWallTrust: (store) => store.markWallTrust(1, false),
    'keepPart, new': (store) => store.keepPart(driveB, at(1, 5000)),
    'keepPart, known': (store) => store.keepPart({ ...driveA, label: 'Other' }, at(1, 5000)),
    keepReadings: (store) =>
      store.keepReadings(1, at(1, 5000), [
        figure('temperature', 40),
        figure('bad-sectors', 7),
        asleep('spin-errors'),
      ]),
    keepRawPages: (store) => store.keepRawPages(1, at(1, 5000), 'finding', anyCapture),
    nextSpeedRun: (store) => store.nextSpeedRun(),
    keepSpeed: (store) => store.keepSpeed(1, at(1, 5000), anySpeed),
    startBurnIn: (store) => store.startBurnIn(anyBurnIn(1, at(1, 5000))),
    updateBurnIn: (store) => store.updateBurnIn(1, at(1, 5000), 'stopped', null),
    appendJournal: (store) => store.appendJournal(1, at(1, 5000), 'progress', { toByte: 1 }),
    keepFindings: (store) =>
      store.keepFindings(at(1, 5000), [
        { kind: 'open', finding: anyFinding },
        { kind: 'clear', finding: { ...anyFinding, id: 1 } },
      ]),
    acknowledgeFinding: (store) => store.acknowledgeFinding(1),
    accountForFinding: (store) => store.accountForFinding(1),
    jobRan: (store) =>
      store.jobRan({
        job: 'thin',
        lastBoot: 1,
        lastMonoMs: 5000,
        lastWallMs: newYear,
        lastPoweredMs: 5000,
        outcome: 'done',
      }),
    thin: (store) => store.thin(newYear + 100 * day),
  };

  /** Fails the statement with this number, counted from the moment it is armed. */
  const fault = { countdown: Number.POSITIVE_INFINITY };

  function failing(statement: Database.Statement): Database.Statement {
    return new Proxy(statement, {
      get: (target, name) => {
        const member = Reflect.get(target, name, target);
        if (typeof member !== 'function') return member;
        return (...given: unknown[]) => {
          if (name === 'run' || name === 'get' || name === 'all') {
            fault.countdown -= 1;
            if (fault.countdown === 0) {
              throw new Database.SqliteError('disk I/O error', 'SQLITE_IOERR_WRITE');
            }
          }
          const result: unknown = Reflect.apply(member, target, given);
          return result === target ? failing(target) : result;
        };
      },
    });
  }

  function dump(path: string): string {
    const db = new Database(path, { readonly: true });
    const tables = db
      .prepare("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
      .pluck()
      .all();
    const content = tables.map((table) => [table, db.prepare(`SELECT * FROM ${table}`).all()]);
    db.close();
    return JSON.stringify(content, (_, value) =>
      value instanceof Uint8Array ? Buffer.from(value).toString('hex') : value,
    );
  }

  test.each(Object.entries(calls))('%s leaves the store as it was', (_name, call) => {
    const prepare = Database.prototype.prepare;
    vi.spyOn(Database.prototype, 'prepare').mockImplementation(function (
      this: Database.Database,
      text: string,
    ) {
      return failing(prepare.call(this, text));
    } as never);
    const room = temporaryStore();
    const { store } = room;
    store.beginBoot('boot-1', newYear);
    store.keepPart(driveA, at(1, 0));
    store.keepReadings(1, at(1, 1), [figure('temperature', 30), figure('bad-sectors', 7)]);
    store.keepReadings(1, at(1, 2), [figure('temperature', 31)]);
    store.startBurnIn(anyBurnIn(1, at(1, 3)));
    store.keepFindings(at(1, 4), [{ kind: 'open', finding: anyFinding }]);
    if (call === calls.thin) {
      store.keepReadings(1, at(1, 40 * hour), [figure('temperature', 32)]);
    }
    try {
      let failures = 0;
      for (let nth = 1; ; nth += 1) {
        const before = dump(room.path);
        fault.countdown = nth;
        try {
          call(store);
          fault.countdown = Number.POSITIVE_INFINITY;
          expect(dump(room.path)).not.toBe(before);
          break;
        } catch (error) {
          fault.countdown = Number.POSITIVE_INFINITY;
          expect(error).toMatchObject({ code: 'store-unreliable', exitCode: 5 });
          expect(dump(room.path)).toBe(before);
          failures += 1;
        }
      }
      expect(failures).toBeGreaterThan(0);
    } finally {
      fault.countdown = Number.POSITIVE_INFINITY;
      room.remove();
    }
  });
});
