import { type Found, goneAfterErrors, type Rule, says } from './log-fact.js';

/** Source: Linux 6.1 drivers/nvme/host/pci.c, nvme_timeout, and core.c, nvme_log_error. */
export const nvmeRules: readonly Rule[] = [
  [
    /^I\/O (?:tag )?\d+ .*timeout, (?:aborting|completion polled)/,
    says('command-overdue', 'A command was overdue'),
  ],
  [
    /^I\/O (?:tag )?\d+ .*timeout, (?:reset|disable) controller/,
    says('drive-reset', 'A command was overdue, so the kernel reset the drive'),
  ],
  [/^controller is down; will reset/, says('link-lost', 'The drive stopped answering on PCI')],
  [
    /^(?:frozen|channel) .*error detected, reset controller/,
    says('drive-reset', 'An error on PCI made the kernel reset the drive'),
  ],
  [
    /^Removing after probe failure|^Disabling device after reset failure|^Device not ready; aborting reset/,
    says('drive-gone', goneAfterErrors),
  ],
  [
    /^[\w/ ]+\(0x[0-9a-f]+\) @ LBA (\d+), \d+ blocks, .* \(sct 0x([0-9a-f]+) \/ sc 0x([0-9a-f]+)\)/,
    ([, place, type, code]) => mediumError(Number(place), `${type} ${code}`),
  ],
];

/** Other statuses have a line of the block layer as well (NVMe base, status values). */
const mediumTexts: Readonly<Record<string, string>> = {
  '2 80': 'The drive could not write a place',
  '2 81': 'The drive could not read a place',
};

function mediumError(place: number, status: string): Found | null {
  const text = mediumTexts[status];
  if (text === undefined || !Number.isSafeInteger(place)) return null;
  return { kind: 'medium-error', position: { unit: 'blocks', number: place }, text };
}
