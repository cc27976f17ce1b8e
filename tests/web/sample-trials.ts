// Invented burn-ins and speed runs of the sample box.
import type { BurnInRow, Instant, PartRow } from '../../src/agent/store/rows.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import type { AgentStatus, RunningWork } from '../../src/checks/request.js';

const places = 16;

export function keepSampleTrials(
  writer: StoreWriter,
  at: { readonly first: Instant; readonly before: Instant; readonly last: Instant },
  parts: ReadonlyMap<string, PartRow>,
): void {
  keepFinished(writer, at.first, parts.get('LK7-4402F'));
  keepRunning(writer, at, parts.get('TV-88-0093'));
  const measured = parts.get('LK7-3310A');
  keepSpeeds(writer, at.first, { part: measured, loss: 1 });
  keepSpeeds(writer, at.before, { part: measured, loss: 0.97 });
}

function plan(
  part: PartRow,
  at: Instant,
  erases: boolean,
): Omit<BurnInRow, 'run' | 'updated' | 'verdict'> {
  return {
    partId: part.id,
    drive: part.name,
    erases,
    state: 'running',
    started: at,
    seed: '00112233445566778899aabbccddeeff',
    plan: {},
  };
}

function keepFinished(writer: StoreWriter, at: Instant, part: PartRow | undefined): void {
  if (part === undefined) return;
  const { run } = writer.startBurnIn(plan(part, at, false));
  writer.appendJournal(run, at, 'result', { stage: 'readings-after', errors: [] });
  writer.updateBurnIn(run, at, 'finished', {
    advice: 'keep-check-again',
    reasons: [
      {
        code: 'requests-aborted',
        measured: 2,
        expected: 0,
        source: 'answers of the kernel during the run',
      },
    ],
    proven: [
      'Every sector was read without an error',
      'No damage counter of the drive grew during the run',
    ],
    notProven: ['That every sector keeps what is written to it', 'That it stays so over months'],
    skipped: ['Writing and comparing, since this run only read'],
  });
}

function keepRunning(
  writer: StoreWriter,
  { before, last: at }: { readonly before: Instant; readonly last: Instant },
  part: PartRow | undefined,
): void {
  if (part === undefined) return;
  const { run } = writer.startBurnIn(plan(part, before, true));
  writer.appendJournal(run, at, 'event', {
    event: 'restarted',
    after: 'power-cut',
    text: 'Taken up again after the box was switched off; the last stretch is verified once more',
  });
  writer.appendJournal(run, at, 'progress', { stage: 'full-read', errors: [] });
  writer.appendJournal(run, at, 'progress', {
    stage: 'stamped-write',
    errors: [
      { lba: 7_814_037_168, kind: 'unreadable' },
      { lba: 7_814_037_176, kind: 'unreadable' },
      { lba: 9_100_442_001, kind: 'timed-out' },
    ],
  });
}

function keepSpeeds(
  writer: StoreWriter,
  at: Instant,
  { part, loss }: { readonly part: PartRow | undefined; readonly loss: number },
): void {
  if (part === undefined) return;
  const run = writer.nextSpeedRun();
  for (let index = 0; index < places; index += 1) {
    const fraction = index / (places - 1);
    const bytesPerSecond = 196e6 * loss * Math.sqrt(1 - fraction * 0.72);
    writer.keepSpeed(part.id, at, {
      run,
      path: `drive:${part.name}`,
      direction: 'read',
      streams: 1,
      place: Math.round(fraction * 3.99e12),
      bytesPerSecond,
      low: bytesPerSecond * 0.96,
      high: bytesPerSecond * 1.03,
      seconds: 0.4,
      conditions: { temperature: 36, otherLoad: 0, linkSpeed: '6 Gb/s', lanes: null },
      complete: true,
      verdict: 'met',
    });
  }
}

export function sampleWork(run: number): RunningWork {
  return {
    kind: 'burn-in',
    run,
    drive: 'TV-88-0093',
    stage: 'stamped-write',
    state: 'running',
    erases: true,
    doneBytes: 11_200_000_000_000,
    totalBytes: 24_004_689_666_048,
    bytesPerSecond: 171_400_000,
    secondsLeft: 74_700,
    errors: 3,
  };
}

export function sampleStatus(boot: number, wallMs: number): AgentStatus {
  return {
    version: '0.1.0',
    processId: 4711,
    boot,
    bootMs: 190 * 60_000,
    wallMs,
    running: [sampleWork(2)],
    limits: [
      'Memory errors are not counted here: the kernel has no driver for this board’s memory controller',
    ],
    inventoryRemarks: ['Drive "TV-88-0093" is not in the model file'],
    modelFile: '/etc/bayward/box.toml',
    machine: {
      hostName: 'reading-room',
      board: 'Meridon MB-6 (invented)',
      processor: 'Brevik 4200 (invented)',
      memoryBytes: 16_777_216_000,
      kernel: 'Linux 6.1.0',
    },
    emptyWhy: {},
  };
}
