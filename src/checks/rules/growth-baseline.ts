import type { CheckInput, Moment } from '../check.js';
import { sharedCodeOf } from '../finding-codes.js';

/** A moment whose order is known by boot and, within it, by wall time. */
export type BaselineMoment = Pick<Moment, 'boot' | 'wallMs'>;

/**
 * The moment from which growth counts: when a finding of this code on this drive, or the shared one
 * on what it shares with others, was last cleared. One that went on under another finding, or whose
 * drive was taken out, ended nothing. Null when there was none: then the first number counts.
 */
export function baselineOf(input: CheckInput, code: string): BaselineMoment | null {
  const shared = sharedCodeOf(code);
  const sharing = [input.controller, input.powerLead, input.enclosure, 'box'];
  let latest: BaselineMoment | null = null;
  for (const finding of input.findings) {
    const own = finding.code === code && finding.subject === input.subject;
    const ofShared = finding.code === shared && sharing.includes(finding.subject);
    if (!own && !ofShared) continue;
    const { clearedBoot: boot, clearedWallMs: wallMs, clearedWhy } = finding;
    if (finding.state !== 'cleared' || boot === null || wallMs === null) continue;
    if (clearedWhy === 'told-elsewhere' || clearedWhy === 'taken-out') continue;
    if (latest === null || isLater({ boot, wallMs }, latest)) latest = { boot, wallMs };
  }
  return latest;
}

/** True when the first moment is after the second. */
export function isLater(one: BaselineMoment, other: BaselineMoment): boolean {
  return one.boot > other.boot || (one.boot === other.boot && one.wallMs > other.wallMs);
}
