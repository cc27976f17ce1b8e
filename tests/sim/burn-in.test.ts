import { expect, test } from 'vitest';
import type { BurnInOffer } from '../../src/agent/burn-in/offer.js';
import type { BurnInRow } from '../../src/agent/store/rows.js';
import { archiveParts, archiveSerials } from '../box/archive-box.js';
import type { SimSeatOptions } from '../box/sim-box.js';
import type { SimKind } from '../box/sim-drive-state.js';
import { archiveLife, hourMs, type Life } from './archive-life.js';
import { pageOf } from './page-of.js';
import type { AgentRun } from './run-agent.js';

const minuteMs = 60_000;
const mebibyte = 2 ** 20;
const serial = 'MT5120007';

/** A small drive on trial, slow enough that a run takes some minutes. */
function onTrial(kind: SimKind): SimSeatOptions {
  return {
    drive: {
      kind,
      model: 'Quillon Mote 48M',
      serial,
      worldWideName: '5f0e3f0000512007',
      capacityBytes: 48 * mebibyte,
      seed: 51,
      speed: { firstBytesPerSecond: 0.1e6, lastBytesPerSecond: 0.1e6 },
    },
    place: { pci: archiveParts.boardSata, port: 6 },
  };
}

async function trialLife(options: { kind?: SimKind; returnBy?: string } = {}): Promise<Life> {
  const { kind = 'sata-ssd', returnBy } = options;
  const entry = `[[drive]]\nserial = "${serial}"\ncapacity = "${48 * mebibyte} B"\n`;
  const life = archiveLife(4, {
    more: [onTrial(kind)],
    moreModel: returnBy === undefined ? entry : `${entry}return-by = ${returnBy}\n`,
  });
  await life.run.switchOn();
  await life.run.pass(2 * minuteMs);
  return life;
}

const erase = { erase: true, digits: '0007', askedFrom: 'box' } as const;

async function start(run: AgentRun, options: Record<string, string | boolean> = erase) {
  const started = await run.ask({ request: 'burn-in-start', drive: serial, options });
  return (started as { run: number }).run;
}

function rowOf(run: AgentRun, number: number): BurnInRow {
  return run.store.burnIns().find((row) => row.run === number)!;
}

async function untilOver(run: AgentRun, number: number): Promise<BurnInRow> {
  await run.passUntil(() => rowOf(run, number).verdict !== null, 4 * hourMs);
  return rowOf(run, number);
}

function stageOf(run: AgentRun, number: number): string {
  return run.agent.burnIns.running().find((work) => work.run === number)?.stage ?? '';
}

function doneOf(run: AgentRun, number: number): number {
  return run.agent.burnIns.running().find((work) => work.run === number)?.doneBytes ?? 0;
}

function reasons({ verdict }: BurnInRow) {
  return verdict?.reasons.map(({ code, measured }) => [code, measured]);
}

test('the plan says what would happen and what must be typed; a wrong label is refused', async () => {
  const { run, end } = await trialLife();
  try {
    const offer = (await run.ask({
      request: 'burn-in-plan',
      drive: serial,
      options: { erase: true, askedFrom: 'box' },
    })) as BurnInOffer;
    expect(offer).toMatchObject({
      model: 'Quillon Mote 48M',
      capacityBytes: 50_331_648,
      erases: true,
      stages: ['readings-before', 'full-read', 'stamped-write', 'verify', 'readings-after'],
      digitsWanted: 'the serial number on its label',
      found: [],
    });
    expect(JSON.stringify(offer)).not.toContain('0007');
    expect(offer.refusals.map(({ code }) => code)).toEqual(['digits-needed']);
    await expect(start(run, { ...erase, digits: '1234' })).rejects.toMatchObject({
      code: 'digits-wrong',
      exitCode: 4,
    });
    await expect(
      run.ask({
        request: 'burn-in-start',
        drive: archiveSerials.disks[0],
        options: { ...erase, digits: '1207' },
      }),
    ).rejects.toMatchObject({ code: 'holds-data', exitCode: 4 });
    expect(run.store.burnIns()).toEqual([]);
  } finally {
    await end();
  }
}, 60_000);

test('a sound drive is kept, also when the power goes in the middle of writing', async () => {
  const { run, end } = await trialLife();
  try {
    const number = await start(run);
    await run.passUntil(() => doneOf(run, number) > 1.3 * 48 * mebibyte, hourMs);
    expect(stageOf(run, number)).toBe('stamped-write');
    const working = await pageOf(run, '/trial');
    expect(working).toContain('Reads, erases by writing, verifies');
    expect(await pageOf(run, '/')).toContain('Safe to switch off? Better not yet');
    run.cutPower(8 * hourMs);
    await run.switchOn();
    const row = await untilOver(run, number);
    expect(row.state).toBe('finished');
    expect(row.verdict?.advice).toBe('keep');
    expect(row.verdict?.reasons).toEqual([]);
    expect(row.verdict?.proven).toEqual([
      'Every sector was read without an error',
      'Every sector was written and gave back what was written',
      'No damage counter of the drive grew during the run',
      'The drive itself does not say that it is failing',
    ]);
    const events = run.store.journal(number).map(({ body }) => body.event);
    expect(events.filter((event) => event === 'restarted')).toHaveLength(1);
    expect(events).toContain('rechecked');
    const { bytesWritten } = run.box.seat(serial).drive.state;
    expect(bytesWritten - 42e12).toBeGreaterThanOrEqual(48 * mebibyte);
    expect(bytesWritten - 42e12).toBeLessThanOrEqual(50 * mebibyte);
    expect(await pageOf(run, '/trial')).toContain('Keep');
  } finally {
    await end();
  }
}, 60_000);

test('a power cut that makes a disk park its heads is not held against it', async () => {
  const { run, end } = await trialLife({ kind: 'sata-disk' });
  try {
    const number = await start(run);
    await run.passUntil(() => stageOf(run, number) === 'verify', hourMs);
    run.cutPower(hourMs);
    await run.switchOn();
    const row = await untilOver(run, number);
    expect([row.verdict?.advice, reasons(row)]).toEqual(['keep', []]);
  } finally {
    await end();
  }
}, 60_000);

test('sectors that cannot be read and heal when written are a reason to return', async () => {
  const { run, end } = await trialLife({ kind: 'sata-disk' });
  try {
    const { state } = run.box.seat(serial).drive;
    state.faults.badSectors.set(40_001, 'unreadable');
    state.faults.badSectors.set(40_002, 'unreadable');
    // The look at the drive met one of them: erasing needs a consent that names it.
    await expect(start(run)).rejects.toMatchObject({ code: 'holds-unknown-data' });
    const number = await start(run, { ...erase, eraseFound: 'unreadable-place' });
    const row = await untilOver(run, number);
    expect(row.verdict?.advice).toBe('return');
    expect(reasons(row)?.slice(0, 1)).toEqual([['unreadable-sectors', 2]]);
    expect(reasons(row)).toContainEqual(['grew:reallocated-sectors', 2]);
    const found = run.store.journal(number).flatMap(({ body }) => (body.errors as object[]) ?? []);
    expect(found).toEqual([
      { lba: 40_001, kind: 'unreadable' },
      { lba: 40_002, kind: 'unreadable' },
    ]);
    expect([state.faults.badSectors.size, state.pendingSectors.size]).toEqual([0, 0]);
    const page = await pageOf(run, '/trial');
    for (const words of ['Return', '2 sectors', '40 001, 40 002']) expect(page).toContain(words);
  } finally {
    await end();
  }
}, 60_000);

test('a counter that grows during the run speaks against the drive; after its date: replace', async () => {
  const { run, end } = await trialLife({ kind: 'sata-disk', returnBy: '2026-01-04' });
  try {
    const number = await start(run);
    await run.passUntil(() => stageOf(run, number) === 'verify', hourMs);
    run.box.seat(serial).drive.state.reallocatedSectors += 3;
    const row = await untilOver(run, number);
    expect(row.verdict?.advice).toBe('replace');
    expect(reasons(row)).toEqual([['grew:reallocated-sectors', 3]]);
  } finally {
    await end();
  }
}, 60_000);

test('a drive that starts again at its beginning is no drive of its size', async () => {
  const { run, end } = await trialLife();
  try {
    run.box.seat(serial).drive.state.faults.wrapBytes = 24 * mebibyte;
    const row = await untilOver(run, await start(run));
    expect(row.verdict?.advice).toBe('return');
    expect(reasons(row)).toEqual([['false-capacity', 49_152]]);
  } finally {
    await end();
  }
}, 60_000);

test('reading only never ends in plain keep, and writes nothing', async () => {
  const { run, end } = await trialLife();
  try {
    const row = await untilOver(run, await start(run, { erase: false, askedFrom: 'box' }));
    expect(row.verdict?.advice).toBe('keep-check-again');
    expect(run.box.seat(serial).drive.state.bytesWritten).toBe(42e12);
  } finally {
    await end();
  }
}, 60_000);
