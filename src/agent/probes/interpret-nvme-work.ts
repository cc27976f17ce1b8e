import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import { countOrNull } from '../box/layouts/bytes.js';
import type { NvmeHealth, Slowing } from '../box/layouts/nvme.js';
import type { Told } from './told.js';

const source = 'NVMe health log 02h';

/** Work done and slowings against heat; what the log does not tell is left out. */
export function nvmeWorkReadings(health: Told<NvmeHealth>): readonly Reading[] {
  if (!health.told) return [];
  const { readCommands, writeCommands, busyMinutes, slowedALittle, slowedMore } = health.value;
  return [
    ...counter('read-commands', readCommands),
    ...counter('write-commands', writeCommands),
    ...counter('busy-time', busyMinutes),
    ...slowing('a little', slowedALittle),
    ...slowing('more', slowedMore),
  ];
}

function counter(metric: string, value: bigint): readonly Reading[] {
  const count = countOrNull(value);
  return count === null ? [] : [figure({ metric }, count)];
}

/** Two steps of slowing; both counters stand still on a drive that is told no limits for them. */
function slowing(place: string, { times, seconds }: Slowing): readonly Reading[] {
  return [
    figure({ metric: 'slowed-by-heat', place }, times),
    figure({ metric: 'time-slowed-by-heat', place }, seconds),
  ];
}

function figure(
  { metric, place }: { readonly metric: string; readonly place?: string },
  value: number,
): Reading {
  const { unit } = metricInfo(metric);
  return measured({ metric, unit, source, ...(place === undefined ? {} : { place }) }, value);
}
