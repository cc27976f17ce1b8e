import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import { textOrNull } from './read-kernel.js';

/** How busy the box is, from /proc/loadavg and /proc/cpuinfo. */
export async function readLoad(box: Box): Promise<readonly Reading[]> {
  const load = await textOrNull(box, '/proc/loadavg');
  const processors = await textOrNull(box, '/sys/devices/system/cpu/online');
  return [loadReading(load, processors)];
}

/**
 * Tasks that run or wait, on average of the last minute, in percent of the processors: above 100
 * some wait. Tasks that wait for a disk count too (Linux Documentation/filesystems/proc.rst). Pure.
 */
export function loadReading(load: string | null, online: string | null): Reading {
  const figure: Figure = {
    metric: 'box-load',
    unit: 'percent',
    source: 'Kernel files loadavg, average of 1 min, and cpu/online',
  };
  const tasks = /^(\d{1,7}\.\d{1,3}) /.exec(load ?? '')?.[1];
  const processors = processorsOf(online);
  if (tasks === undefined || processors === null) {
    return absent(figure, 'no-figure', 'The kernel does not tell its load or its processors');
  }
  return measured(figure, (Number(tasks) / processors) * 100);
}

/** "0-3,6" is five. Source: Linux Documentation/admin-guide/cputopology.rst. */
export function processorsOf(text: string | null): number | null {
  let count = 0;
  for (const piece of (text ?? '').split(',')) {
    const match = /^(\d{1,4})(?:-(\d{1,4}))?$/.exec(piece.trim());
    if (match === null) return null;
    const [first, last] = [Number(match[1]), Number(match[2] ?? match[1])];
    if (last < first) return null;
    count += last - first + 1;
  }
  return count;
}
