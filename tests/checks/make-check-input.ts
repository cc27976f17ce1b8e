import type { CheckInput, Look, SeriesHistory, SpeedLook } from '../../src/checks/check.js';
import type { CheckResult, Finding } from '../../src/checks/finding.js';
import { metricInfo } from '../../src/checks/metrics.js';
import type { ReadingState } from '../../src/checks/reading.js';

export const minuteMs = 60_000;
export const hourMs = 3_600_000;
export const dayMs = 86_400_000;
/** 2026-01-01T00:00:00Z, when boot 1 of every made history begins. */
export const startWallMs = 1_767_225_600_000;

type Value = number | ReadingState;

/** A look at `hours` after the start of boot 1, or of another boot that began at that wall time. */
export function look(value: Value, hours: number, change: Partial<Look> = {}): Look {
  const isNumber = typeof value === 'number';
  return {
    boot: 1,
    monoMs: hours * hourMs,
    wallMs: startWallMs + hours * hourMs,
    state: isNumber ? 'measured' : value,
    value: isNumber ? value : null,
    ...change,
  };
}

export function series(
  metric: string,
  looks: readonly Look[],
  change: Partial<SeriesHistory> = {},
): SeriesHistory {
  return {
    metric,
    place: '',
    unit: metricInfo(metric).unit,
    source: 'test record',
    looks,
    ...change,
  };
}

/** One figure that two looks saw, so that nothing in it is provisional. */
export function steady(metric: string, value: number): SeriesHistory {
  return series(metric, [look(value, 1), look(value, 2)]);
}

export function makeInput(change: Partial<CheckInput>): CheckInput {
  return {
    subject: 'LK-0001',
    kind: 'drive',
    controller: null,
    powerLead: null,
    enclosure: null,
    inModel: false,
    gone: null,
    firstWallMs: startWallMs,
    lastSeen: { boot: 1, monoMs: 5 * hourMs, wallMs: startWallMs + 5 * hourMs },
    arrays: [],
    details: {},
    nameOf: (id) => id,
    events: [],
    startKinds: new Map(),
    series: [],
    speeds: [],
    expectations: { speedAt: null, capacityBytes: null },
    findings: [],
    now: { boot: 1, monoMs: 5 * hourMs, wallMs: startWallMs + 5 * hourMs },
    ...change,
  };
}

export function speed(
  run: number,
  bytesPerSecond: number | null,
  change: Partial<SpeedLook> = {},
): SpeedLook {
  return {
    run,
    path: 'drive:LK-0001',
    direction: 'read',
    streams: 1,
    place: 0,
    bytesPerSecond,
    low: bytesPerSecond,
    high: bytesPerSecond,
    seconds: 2,
    conditions: { temperature: 35, otherLoad: 0, linkSpeed: '6 Gb/s', lanes: null },
    complete: true,
    verdict: 'unknown',
    at: { boot: 1, monoMs: run * hourMs, wallMs: startWallMs + run * hourMs },
    ...change,
  };
}

export function makeFinding(change: Partial<Finding>): Finding {
  return {
    id: 1,
    code: 'too-warm',
    subject: 'LK-0001',
    place: '',
    state: 'open',
    urgency: 'soon',
    measured: 57,
    expected: 55,
    unit: 'celsius',
    source: 'test record',
    evidence: [],
    nextStep: '',
    openedBoot: 1,
    openedMonoMs: 0,
    openedWallMs: startWallMs,
    clearedBoot: null,
    clearedWallMs: null,
    clearedWhy: null,
    acknowledged: false,
    accountedFor: false,
    ...change,
  };
}

export function makeResult(change: Partial<CheckResult>): CheckResult {
  return {
    code: 'too-warm',
    subject: 'LK-0001',
    outcome: 'short',
    urgency: 'soon',
    measured: 57,
    expected: 55,
    unit: 'celsius',
    source: 'test record',
    evidence: [],
    ...change,
  };
}

/** Outcome and whether it is confirmed, for tables: "short", "short?" when provisional. */
export function brief(results: readonly CheckResult[]): readonly string[] {
  return results.map(({ outcome, provisional }) => (provisional ? `${outcome}?` : outcome));
}
