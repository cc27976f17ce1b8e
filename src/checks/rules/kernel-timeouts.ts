import { growthCheck } from './part-growth.js';

/**
 * Claim: the kernel gave up waiting for no command of the drive. Counted within each boot from its
 * first look on (kernel file iotmo_cnt of the SCSI disk, drivers/scsi/scsi_sysfs.c). One is soon:
 * the drive or the way to it stood still for as long as the kernel waits. Silent where the kernel
 * counts no such thing.
 */
export const kernelTimeouts = growthCheck({
  code: 'commands-given-up',
  claim: 'The kernel gave up waiting for no command of the drive',
  kinds: ['drive'],
  metrics: [
    {
      metric: 'kernel-timeouts',
      urgency: () => 'soon',
      sinceBoot: true,
      freeGrowth: 0,
      risesMin: 1,
    },
  ],
});
