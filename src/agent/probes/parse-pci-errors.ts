/** Errors that one file of a PCI function's error counters lists, by our words. */
export interface PciErrorCounts {
  readonly total: number;
  readonly byName: readonly { readonly name: string; readonly count: number }[];
}

/**
 * Short names are those of Linux 6.1 drivers/pci/pcie/aer.c, long ones those of the kernel's
 * Documentation/ABI/testing/sysfs-bus-pci-devices-aer_stats; kernels of both kinds exist.
 */
const names: readonly (readonly [string, readonly string[]])[] = [
  ['receiver error', ['RxErr', 'Receiver Error']],
  ['bad packet', ['BadTLP', 'Bad TLP']],
  ['bad link packet', ['BadDLLP', 'Bad DLLP']],
  ['repeated too often', ['Rollover', 'RELAY_NUM Rollover', 'REPLAY_NUM Rollover']],
  ['no acknowledgement in time', ['Timeout', 'Replay Timer Timeout']],
  ['advisory', ['NonFatalErr', 'Advisory Non-Fatal']],
  ['corrected inside the device', ['CorrIntErr', 'Corrected Internal Error']],
  ['error log full', ['HeaderOF', 'Header Log Overflow']],
  ['not named', ['Undefined']],
  ['link protocol', ['DLP', 'Data Link Protocol']],
  ['link went down by surprise', ['SDES', 'Surprise Down Error']],
  ['poisoned packet', ['TLP', 'Poisoned TLP']],
  ['flow control', ['FCP', 'Flow Control Protocol']],
  ['no answer in time', ['CmpltTO', 'Completion Timeout']],
  ['answer given up', ['CmpltAbrt', 'Completer Abort']],
  ['answer not asked for', ['UnxCmplt', 'Unexpected Completion']],
  ['receiver overflow', ['RxOF', 'Receiver Overflow']],
  ['malformed packet', ['MalfTLP', 'Malformed TLP']],
  ['checksum over the whole way', ['ECRC']],
  ['request not supported', ['UnsupReq', 'Unsupported Request']],
  ['access refused', ['ACSViol', 'ACS Violation']],
  ['uncorrected inside the device', ['UncorrIntErr', 'Uncorrectable Internal Error']],
  ['multicast blocked', ['BlockedTLP', 'MC Blocked TLP']],
  ['atomic request blocked', ['AtomicOpBlocked', 'AtomicOp Egress Blocked']],
  ['prefix blocked', ['TLPBlockedErr', 'TLP Prefix Blocked Error']],
  ['poisoned packet blocked', ['PoisonTLPBlocked', 'Poisoned TLP Egress Blocked']],
];

const wordOf = new Map(
  names.flatMap(([word, known]) => known.map((name) => [name, word] as const)),
);

/** Null for a text that is absent, empty or cut: its last line is the sum of the others. */
export function parsePciErrors(text: string | null): PciErrorCounts | null {
  const byName: { name: string; count: number }[] = [];
  let total: number | null = null;
  for (const line of (text ?? '').trim().split('\n')) {
    const match = /^(\S.*?) (\d{1,15})$/.exec(line.trim());
    if (match === null) return null;
    const [name, count] = [match[1] ?? '', Number(match[2])];
    if (/^TOTAL_ERR_/.test(name)) total = count;
    else byName.push({ name: wordOf.get(name) ?? name, count });
  }
  return total === null ? null : { total, byName };
}
