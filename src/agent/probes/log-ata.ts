import { type Found, goneAfterErrors, type Rule, says } from './log-fact.js';
import { parseSataErrors, parseSataStatus } from './parse-sata-registers.js';

const damaged = says('transfer-damaged', 'A transfer was damaged on the cable');

/** Source: Linux 6.1 drivers/ata/libata-core.c, libata-eh.c, libata-sata.c and libata-scsi.c. */
export const ataRules: readonly Rule[] = [
  [/^SATA link up (\S+) Gbps/, says('link-up', 'The SATA link came up')],
  [/^SATA link down (?:\(SStatus ([0-9A-F]+) )?/, ([, status]) => linkDown(status ?? '')],
  [/^exception Emask .* SErr 0x([0-9a-f]+) action /, ([, errors]) => portTrouble(errors ?? '')],
  [/^(?:hard|soft) resetting link$/, says('link-reset', 'The SATA link was reset')],
  [/^COMRESET failed/, says('link-reset', 'The SATA link was reset and nothing answered')],
  [
    /^limiting SATA link speed to (\S+) Gbps/,
    ([, rate]) => ({
      kind: 'link-slowed',
      text: `The kernel lowered the SATA link to ${rate} Gb/s after errors`,
    }),
  ],
  [
    /^limiting speed to ([^:\s]+)/,
    ([, rate]) => ({
      kind: 'link-slowed',
      text: `The kernel lowered the speed of transfers to ${rate} after errors`,
    }),
  ],
  [
    /^NCQ disabled due to excessive errors/,
    says('queue-off', 'The kernel switched the command queue off after errors'),
  ],
  [/^qc timeout (?:after \d+ msecs )?\(cmd 0x/, says('command-overdue', 'A command was overdue')],
  [
    /^cmd ([0-9a-f:/]+) tag \d+.*res ([0-9a-f:/]+) Emask 0x([0-9a-f]+)/s,
    ([, command, result, mask]) => failedCommand({ command, result, mask }),
  ],
  [/^SError: \{.*\b(?:BadCRC|10B8B|Dispar|Handshk)\b.*\}/, damaged],
  [/^error: \{.*\bICRC\b.*\}/, damaged],
  [/^error: \{.*\bUNC\b.*\}/, says('medium-error', 'The drive could not read a place')],
  [/^disabled?(?: device)?$/, says('drive-gone', goneAfterErrors)],
  [/^detaching \(SCSI /, says('drive-gone', 'The kernel let go of the drive')],
];

function linkDown(status: string): Found {
  const isSeen = parseSataStatus(status)?.device === 'seen, no link';
  const why = isSeen ? ': the port sees a drive, and no link comes up' : '';
  return { kind: 'link-lost', text: `The SATA link went down${why}` };
}

/** What was damaged is told by the lines that follow; this pattern is told by this line alone. */
function portTrouble(errors: string): Found | null {
  if (parseSataErrors(errors)?.likePowerLoss !== true) return null;
  const text =
    'The link broke off and nothing was damaged before: as when the drive’s power drops, or when it is taken out';
  return { kind: 'power-pattern', text };
}

interface FailedCommand {
  readonly command: string | undefined;
  readonly result: string | undefined;
  readonly mask: string | undefined;
}

/**
 * One attempt that failed; the kernel tries again, and where that works only this line tells of
 * it. The mask holds why: a command without an answer, a bad medium, a damaged transfer. A place
 * that is bad is told in the answer, when that is inside what was asked for. Source: Linux 6.1
 * drivers/ata/libata-eh.c, ata_eh_link_report, and include/linux/libata.h, AC_ERR_*.
 */
function failedCommand({ command, result, mask }: FailedCommand): Found {
  const why = Number.parseInt(mask ?? '0', 16);
  const start = sectorOf(registers(command));
  const answered = sectorOf([registers(command)[0] ?? 0, ...registers(result).slice(1)]);
  const isInside = start !== null && answered !== null && answered - start < sectorsMax;
  const isMedium = (why & maskMedium) !== 0;
  const exact = isMedium && isInside && answered >= start ? answered : start;
  const position = exact === null ? null : ({ unit: 'blocks', number: exact } as const);
  if ((why & maskTimeout) !== 0) {
    return { kind: 'command-overdue', text: 'A command got no answer', position };
  }
  if (isMedium) return { kind: 'medium-error', text: 'The drive could not read a place', position };
  return { kind: 'command-failed', text: 'A command failed', position };
}

const maskTimeout = 4;
const maskMedium = 8;
/** The most that one command carries (ACS, from memory). */
const sectorsMax = 65_536;

/** Twelve registers of a command or an answer, in one order; none where one is no byte. */
function registers(text: string | undefined): readonly number[] {
  const fields = (text ?? '').split(/[:/]/);
  const isClear = fields.every((two) => /^[0-9a-f]{2}$/.test(two));
  return isClear ? fields.map((two) => Number.parseInt(two, 16)) : [];
}

/** Commands of 28 and of 48 bits that read or write sectors (ACS, from memory). */
const shortCommands = [0x20, 0x30, 0xc4, 0xc5, 0xc8, 0xca];
const longCommands = [0x24, 0x25, 0x29, 0x34, 0x35, 0x39, 0x3d, 0x60, 0x61];

/** Command, feature, count, low, middle and high of the sector, the same of high order, device. */
function sectorOf(file: readonly number[]): number | null {
  const [command = 0, , , low = 0, middle = 0, high = 0, , , low2 = 0, middle2 = 0, high2 = 0] =
    file;
  if (file.length !== 12) return null;
  const lower = low + middle * 2 ** 8 + high * 2 ** 16;
  if (longCommands.includes(command)) {
    return lower + low2 * 2 ** 24 + middle2 * 2 ** 32 + high2 * 2 ** 40;
  }
  return shortCommands.includes(command) ? lower + ((file[11] ?? 0) & 0x0f) * 2 ** 24 : null;
}
