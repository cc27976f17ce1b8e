import type { LogRecord } from '../box/layouts/kernel-log.js';
import { arrayRules } from './log-arrays.js';
import { ataRules } from './log-ata.js';
import { blockRules } from './log-block.js';
import { boardRules, pciRules } from './log-board.js';
import { firstOf, type LogFact, type LogSubject, type Rule } from './log-fact.js';
import { nvmeRules } from './log-nvme.js';
import { adapterRules, scsiHostRules, scsiRules, usbRules } from './log-scsi.js';

const prefixes: readonly {
  readonly pattern: RegExp;
  readonly by: LogSubject['by'];
  readonly rules: readonly Rule[];
  /** The name where the line says it otherwise. */
  readonly name?: string;
}[] = [
  { pattern: /^(ata\d+)(?:\.\d+)?: (.*)$/s, by: 'ata-port', rules: ataRules },
  {
    pattern: /^(?:sd|scsi) (\d+:\d+:\d+:\d+): (?:\[\w+\] )?(.*)$/s,
    by: 'scsi-address',
    rules: scsiRules,
  },
  { pattern: /^scsi (host\d+): (.*)$/s, by: 'scsi-host', rules: scsiHostRules },
  { pattern: /^(mpt[23]sas_cm\d+): (.*)$/s, by: 'driver', rules: adapterRules, name: 'mpt3sas' },
  { pattern: /^nvme (nvme\d+): (.*)$/s, by: 'nvme-controller', rules: nvmeRules },
  { pattern: /^(nvme\d+)(?:c\d+)?n\d+: (.*)$/s, by: 'nvme-controller', rules: nvmeRules },
  { pattern: /^usb (\d+-[\d.]+): (.*)$/s, by: 'usb-port', rules: usbRules },
  {
    pattern: /^[\w-]+ ([0-9a-f]{4,8}:[0-9a-f]{2}:[0-9a-f]{2}\.[0-7]): (.*)$/s,
    by: 'pci',
    rules: pciRules,
  },
];

const plainRules: readonly Rule[] = [...blockRules, ...arrayRules, ...boardRules];

/** What a record says of a part, or null: most lines of the log concern nothing that is watched. */
export function logFact(record: LogRecord): LogFact | null {
  const shared = {
    sequence: record.sequence,
    monoMs: record.monoMs,
    record: record.text.slice(0, 300),
    position: null,
  };
  for (const { pattern, by, rules, name } of prefixes) {
    const match = pattern.exec(record.text);
    if (match === null) continue;
    const found = firstOf(rules, match[2] ?? '');
    const subject = { by, name: name ?? match[1] ?? '' };
    if (found !== null) return { ...shared, subject, ...found };
  }
  const found = firstOf(plainRules, record.text);
  if (found?.subject === undefined) return null;
  return { ...shared, ...found, subject: found.subject };
}
