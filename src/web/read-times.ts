import type { StoreReader } from '../agent/store/store.js';
import { metricInfo } from '../checks/metrics.js';
import { driveHealthPeriodMs, periodMsOf, surroundingsPeriodMs } from '../checks/periods.js';
import type { HistoryReads, ReadTimes } from './history.js';

const dayMs = 24 * 3600_000;
/** Single figures of gauges are kept this long; before that only means are, without their times. */
const lookBackMs = 8 * dayMs;
const seriesReadMax = 4;
const periodsSilentMax = 3;

/**
 * When the agent read anything in the last days, from a few gauges that are read in every round.
 * Without such a gauge the drives' own pace is taken, and the silence that counts is longer.
 */
export function readTimes(store: StoreReader, nowMs: number): HistoryReads {
  const gauges = store.parts().flatMap((part) =>
    store
      .latest(part.id)
      .filter((reading) => metricInfo(reading.metric).kind === 'gauge')
      .map((reading) => ({
        seriesId: reading.seriesId,
        periodMs: periodMsOf(part.kind, reading.metric),
      })),
  );
  const eachRound = gauges.filter((gauge) => gauge.periodMs === surroundingsPeriodMs);
  const chosen = (eachRound.length > 0 ? eachRound : gauges).slice(0, seriesReadMax);
  const periodMs = eachRound.length > 0 ? surroundingsPeriodMs : driveHealthPeriodMs;
  return {
    times: collect(
      store,
      chosen.map((gauge) => gauge.seriesId),
      nowMs,
    ),
    fromWallMs: nowMs - lookBackMs,
    silenceMsMax: periodsSilentMax * periodMs,
  };
}

function collect(store: StoreReader, seriesIds: readonly number[], nowMs: number): ReadTimes {
  const byBoot = new Map<number, number[]>();
  for (const seriesId of seriesIds) {
    for (const row of store.readings(seriesId, nowMs - lookBackMs)) {
      const times = byBoot.get(row.boot) ?? [];
      times.push(row.monoMs, row.lastMonoMs);
      byBoot.set(row.boot, times);
    }
  }
  for (const times of byBoot.values()) times.sort((a, b) => a - b);
  return byBoot;
}
