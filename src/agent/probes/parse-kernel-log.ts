import type { EventKind } from '../../checks/event.js';
import type { LogRecord } from '../box/layouts/kernel-log.js';

/** How the kernel named what a line is about, valid for this boot. */
export interface LogSubject {
  readonly by: 'ata-port' | 'scsi-address' | 'block-name' | 'nvme-controller' | 'pci' | 'usb-port';
  readonly name: string;
}

/** What one line of the kernel's log says, in our words. */
export interface LogFact {
  readonly sequence: number;
  readonly monoMs: number;
  /** `link-up` is no event: it tells which ports carried a drive. */
  readonly kind: EventKind | 'link-up';
  readonly subject: LogSubject;
  /** In 512-byte units, or in the drive's own blocks. */
  readonly position: { readonly unit: '512-bytes' | 'blocks'; readonly number: number } | null;
  readonly text: string;
  readonly record: string;
}

type Found = Pick<LogFact, 'kind' | 'text'> & {
  readonly position?: LogFact['position'];
};
type Rule = readonly [RegExp, (match: RegExpExecArray) => Found | null];

function says(kind: Found['kind'], text: string): () => Found {
  return () => ({ kind, text });
}

/** Source: Linux 6.1 drivers/ata/libata-core.c, libata-eh.c and libata-sata.c. */
const ataRules: readonly Rule[] = [
  [/^SATA link up (\S+) Gbps/, says('link-up', 'The SATA link came up')],
  [/^SATA link down /, says('link-lost', 'The SATA link went down')],
  [/^(?:hard|soft) resetting link$/, says('link-reset', 'The SATA link was reset')],
  [/^COMRESET failed/, says('link-reset', 'The SATA link was reset and nothing answered')],
  [
    /^limiting SATA link speed to (\S+) Gbps/,
    ([, rate]) => ({
      kind: 'link-slowed',
      text: `The kernel lowered the SATA link to ${rate} Gb/s after errors`,
    }),
  ],
  [/^error: \{.*\bICRC\b.*\}/, says('transfer-damaged', 'A transfer was damaged on the cable')],
  [/^error: \{.*\bUNC\b.*\}/, says('medium-error', 'The drive could not read a place')],
  [/^disabled?(?: device)?$/, says('drive-gone', 'The kernel gave the drive up')],
];

/** Source: Linux 6.1 drivers/scsi/scsi_error.c and scsi_lib.c. */
const scsiRules: readonly Rule[] = [
  [/Device offlined - not ready after error recovery/, says('drive-gone', goneAfterErrors())],
  [/rejecting I\/O to (?:offline|dead) device/, says('drive-gone', 'Requests find no drive there')],
  [/attempting task abort|timing out command/, says('command-overdue', 'A command was overdue')],
];

/** Source: Linux 6.1 block/blk-core.c blk_errors and blk-mq.c blk_print_req_error. */
const blockRules: readonly Rule[] = [
  [
    /^(?:blk_update_request: |print_req_error: )?(?:critical )?(\S+ ?\S*) error, dev (\S+), sector (\d+)(?: op \S+:\((\w+)\))?/,
    ([, what, , sector, operation]) => blockFact(what ?? '', Number(sector), operation ?? null),
  ],
];

/** Source: Linux 6.1 drivers/nvme/host/pci.c nvme_timeout and core.c nvme_log_error. */
const nvmeRules: readonly Rule[] = [
  [
    /^I\/O \d+ .*timeout, (?:aborting|reset controller|completion polled|disable controller)/,
    overdue,
  ],
  [/^controller is down; will reset/, says('link-lost', 'The drive stopped answering on PCI')],
  [
    /^Removing after probe failure|^Disabling device after reset failure/,
    says('drive-gone', goneAfterErrors()),
  ],
  [
    /^I\/O Cmd\(0x([0-9a-f]+)\) @ LBA (\d+), \d+ blocks, I\/O Error \(sct 0x2 \/ sc 0x(80|81)\)/,
    ([, , lba, code]) => ({
      kind: 'medium-error',
      position: { unit: 'blocks', number: Number(lba) },
      text:
        code === '80' ? 'The drive could not write a place' : 'The drive could not read a place',
    }),
  ],
];

const usbRules: readonly Rule[] = [
  [/^USB disconnect, device number/, says('drive-gone', 'The USB device was taken off')],
  [/^reset \S+(?: \S+)? USB device number/, says('link-reset', 'The USB link was reset')],
];

/** Source: Linux 6.1 drivers/pci/pcie/aer.c aer_print_port_info. */
const pciRules: readonly Rule[] = [
  [
    /^AER: (?:Multiple )?(Corrected|Uncorrected \(Non-Fatal\)|Uncorrected \(Fatal\)) error (?:message )?received/,
    ([, kind]) => ({ kind: 'pci-error', text: `PCI reported an error: ${pciWords(kind ?? '')}` }),
  ],
];

function pciWords(kind: string): string {
  if (kind === 'Corrected') return 'corrected';
  return kind.includes('Non-Fatal') ? 'not corrected' : 'not corrected, and the link is broken';
}

function goneAfterErrors(): string {
  return 'The kernel gave the drive up after errors';
}

function overdue(): Found {
  return { kind: 'command-overdue', text: 'A command was overdue' };
}

/** The sector is the start of the request that failed, which is not always the bad place. */
function blockFact(what: string, sector: number, operation: string | null): Found | null {
  if (!Number.isSafeInteger(sector)) return null;
  const isMedium = what === 'medium';
  const isData = isMedium || ['I/O', 'timeout', 'target', 'transport', 'protection'].includes(what);
  if (!isData) return null;
  const act = operation === 'WRITE' ? 'written' : operation === 'READ' ? 'read' : 'reached';
  const why = isMedium ? 'the medium is bad there' : 'the request failed';
  return {
    kind: isMedium ? 'medium-error' : what === 'timeout' ? 'command-overdue' : 'request-failed',
    position: { unit: '512-bytes', number: sector },
    text: `A place could not be ${act}: ${why}`,
  };
}

const prefixes: readonly {
  readonly pattern: RegExp;
  readonly by: LogSubject['by'];
  readonly rules: readonly Rule[];
}[] = [
  { pattern: /^(ata\d+)(?:\.\d+)?: (.*)$/s, by: 'ata-port', rules: ataRules },
  { pattern: /^sd (\d+:\d+:\d+:\d+): (?:\[\w+\] )?(.*)$/s, by: 'scsi-address', rules: scsiRules },
  { pattern: /^nvme (nvme\d+): (.*)$/s, by: 'nvme-controller', rules: nvmeRules },
  { pattern: /^(nvme\d+)(?:c\d+)?n\d+: (.*)$/s, by: 'nvme-controller', rules: nvmeRules },
  { pattern: /^usb (\d+-[\d.]+): (.*)$/s, by: 'usb-port', rules: usbRules },
  { pattern: /^pcieport ([0-9a-f:.]+): (.*)$/s, by: 'pci', rules: pciRules },
];

/** What a record says of a part, or null: most lines of the log concern nothing that is watched. */
export function logFact(record: LogRecord): LogFact | null {
  const shared = {
    sequence: record.sequence,
    monoMs: record.monoMs,
    record: record.text.slice(0, 300),
  };
  for (const { pattern, by, rules } of prefixes) {
    const match = pattern.exec(record.text);
    if (match === null) continue;
    const found = firstOf(rules, match[2] ?? '');
    if (found !== null)
      return { ...shared, position: null, ...found, subject: { by, name: match[1] ?? '' } };
  }
  const found = firstOf(blockRules, record.text);
  const name = / dev (\w+), sector /.exec(record.text)?.[1];
  if (found === null || name === undefined) return null;
  return { ...shared, position: null, ...found, subject: { by: 'block-name', name } };
}

function firstOf(rules: readonly Rule[], text: string): Found | null {
  for (const [pattern, make] of rules) {
    const match = pattern.exec(text);
    if (match !== null) return make(match);
  }
  return null;
}
