import type { Check } from '../check.js';
import { absenceWords, cannotTell, evidenceOf, numberLook, ownSeries } from '../history.js';
import { sharedPartsOf } from './shared-parts.js';
import { agreed } from './two-looks.js';

/** Code of `kernel-drive-state`: the kernel sends the drive nothing any more. */
const givenUp = 2;

/**
 * Claim: the kernel sends requests to the drive. Expected: a state other than "given up" (Linux 6.1
 * drivers/scsi/scsi_sysfs.c, drivers/nvme/host/core.c). Opens and clears when two looks of one boot
 * agree. Several drives of one power lead or controller are told as one. Silent where the kernel
 * tells no state.
 */
export const driveGivenUp: Check = {
  code: 'drive-given-up',
  claim: 'The kernel sends requests to the drive',
  judge: (input) => {
    const series = ownSeries(input, 'kernel-drive-state');
    if (input.kind !== 'drive' || series === null) return [];
    const about = {
      code: 'drive-given-up',
      subject: input.subject,
      unit: 'code',
      source: 'the kernel’s own state of the drive',
      ...sharedPartsOf(input),
    } as const;
    const last = numberLook(series.looks.at(-1));
    if (last === null) return [cannotTell(about, absenceWords(series))];
    return [
      {
        ...about,
        ...agreed(series, (value) => value === givenUp),
        urgency: 'today',
        measured: last.value,
        expected: 0,
        evidence: [evidenceOf('What the kernel does with it', last, 'code')],
      },
    ];
  },
};
