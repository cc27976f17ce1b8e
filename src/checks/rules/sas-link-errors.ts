import { type GrowthMetric, growthCheck } from './part-growth.js';

/** A drive that is plugged or pulled makes both ends count once; a bad cable goes on. */
function counter(metric: string): GrowthMetric {
  return { metric, urgency: () => 'soon', sinceBoot: true, freeGrowth: 0, risesMin: 2 };
}

/**
 * Claim: no phy of the host adapter keeps counting errors of its cable. Counted within each boot
 * from its first look on; opens when at least two looks saw further growth, so that plugging a
 * drive is no fault (common practice, no source). Counters as in Linux
 * drivers/scsi/scsi_transport_sas.c. Silent for controllers without phys.
 */
export const sasLinkErrors = growthCheck({
  code: 'sas-link-errors-grew',
  claim: 'No phy of the controller keeps counting errors',
  kinds: ['disk-controller'],
  metrics: [
    counter('sas-invalid-words'),
    counter('sas-disparity-errors'),
    counter('sas-sync-losses'),
    counter('sas-reset-problems'),
  ],
});
