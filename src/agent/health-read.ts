import type { PartReadings } from '../checks/part.js';
import { absent, type Reading } from '../checks/reading.js';
import type { Asked } from './drive-asking.js';

/** What a round over the health of a drive gave, and why not all that it was meant to, or null. */
export interface HealthRead extends PartReadings {
  readonly whyNot: string | null;
  /** A figure moved that holds still on a sound drive: the next round should be soon. */
  readonly secondLook: boolean;
}

const gentleMetrics = ['temperature', 'drive-verdict', 'critical-warning', 'power-mode'];

export function isGentle({ metric }: Reading): boolean {
  return gentleMetrics.includes(metric);
}

export function isTemperature({ metric }: Reading): boolean {
  return metric === 'temperature';
}

export function whyNotAll(asked: Extract<Asked, { kind: 'answered' }>): string | null {
  if (asked.asleep) return 'The drive sleeps';
  if (asked.gentle) return 'Its array needs rest: only temperature and verdict were asked for';
  return asked.stoppedBy;
}

export function withoutFigure(
  metric: 'temperature' | 'power-on-hours',
  state: 'no-figure' | 'not-visible',
  why: string,
): Reading {
  const unit = metric === 'temperature' ? 'celsius' : 'hours';
  return absent({ metric, unit, source: 'Kernel device tree' }, state, why);
}
