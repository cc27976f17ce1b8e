/** One of each thing that the store keeps. All parts are invented. */
import type { Instant } from '../../../src/agent/store/rows.js';
import type { BurnInToStart } from '../../../src/agent/store/write-work.js';
import type { BurnInVerdict } from '../../../src/checks/burn-in-result.js';
import type { Capture } from '../../../src/checks/capture.js';
import type { Finding } from '../../../src/checks/finding.js';
import type { SpeedResult } from '../../../src/checks/speed-result.js';
import { newYear } from './temporary-store.js';

export const anySpeed: SpeedResult = {
  run: 1,
  path: 'drive:LK-0001',
  direction: 'read',
  streams: 1,
  place: 1_000_000_512,
  bytesPerSecond: 181_500_000.5,
  low: 170_000_000,
  high: 190_000_000,
  seconds: 2.25,
  conditions: { temperature: 35, otherLoad: 0.25, linkSpeed: '6.0 Gb/s', lanes: null },
  complete: true,
  limit: { part: 'LK-0001', evidence: 'The drive was busy all the time' },
  verdict: 'met',
};

export function anyBurnIn(partId: number, started: Instant): BurnInToStart {
  return {
    partId,
    drive: 'LK-0001',
    erases: true,
    state: 'running',
    started,
    seed: '00112233445566778899aabbccddeeff',
    plan: { stages: ['full-read', 'stamped-write'], stretchBytes: 1_073_741_824 },
  };
}

export const anyVerdict: BurnInVerdict = {
  advice: 'keep-check-again',
  reasons: [{ code: 'sectors-grew', measured: 3, expected: 0, source: 'attribute 5' }],
  proven: ['Every sector was written and read back'],
  notProven: ['The drive’s own self-test'],
  skipped: ['Self-test: it does not survive a power-off'],
};

export const anyFinding: Omit<Finding, 'id'> = {
  code: 'damage-counter-grew',
  subject: 'LK-0001',
  place: 'reallocated-sectors',
  state: 'open',
  urgency: 'soon',
  measured: 24,
  expected: 16,
  unit: 'sectors',
  source: 'First reading of this drive',
  evidence: [{ label: 'First', value: 16, unit: 'sectors', boot: 1, monoMs: 1 }],
  nextStep: 'Copy off what cannot be replaced, then burn it in again',
  openedBoot: 1,
  openedMonoMs: 2,
  openedWallMs: newYear + 2,
  clearedBoot: null,
  clearedWallMs: null,
  clearedWhy: null,
  acknowledged: false,
  accountedFor: false,
};

export const anyCapture: Capture = {
  taken: '2026-01-01T00:00:00.000Z',
  commandSet: 'ata',
  pages: [
    { record: 'identify-device', data: Uint8Array.from([1, 2, 3]) },
    { record: 'log', log: 4, page: 5, data: Uint8Array.from([4, 5, 6]) },
    { record: 'smart-data', data: new Uint8Array(), failed: { reason: 'The drive refused' } },
  ],
};
