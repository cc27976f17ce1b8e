import type { Urgency } from '../finding.js';
import type { MeasuredGrowth } from './growth-results.js';
import { growthCheck } from './part-growth.js';

/** One corrected error may be chance; a module with a second one is likelier to have more. */
function correctedUrgency({ from, to }: MeasuredGrowth): Urgency {
  return to.value - from.value > 1 ? 'soon' : 'for-the-record';
}

const shared = { sinceBoot: false, freeGrowth: 0, risesMin: 1 } as const;

/**
 * Claim: the kernel counted no memory error in this module since it was first seen here. Expected:
 * no growth of the sums over all loads of the counting driver. Corrected errors are for the record
 * at first and soon from the second on; an error beyond correction is for today. Errors predict
 * more on the same module (field studies of memory in data centres; from memory). Where nothing
 * counts, nothing can be told: that is no zero.
 */
export const memoryErrors = growthCheck({
  code: 'memory-errors',
  claim: 'No memory error was counted in this module since it was first seen here',
  kinds: ['memory'],
  metrics: [
    { ...shared, metric: 'memory-errors-corrected', urgency: correctedUrgency },
    { ...shared, metric: 'memory-errors-uncorrectable', urgency: () => 'today' },
  ],
  absentWhy:
    'The kernel counts no errors of it: the memory or the board has no error correction, or its driver is not loaded',
});
