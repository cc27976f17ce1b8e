import type { AtaLoggedError } from '../box/layouts/ata-error-log.js';
import { bit, hex } from '../box/layouts/bytes.js';

/** Commands that stand in error logs, by their code (ACS, from memory). */
const commands: Readonly<Record<number, string>> = {
  32: 'read',
  36: 'read',
  37: 'read',
  41: 'read',
  47: 'read of a log',
  48: 'write',
  52: 'write',
  53: 'write',
  57: 'write',
  61: 'write',
  64: 'check without transfer',
  66: 'check without transfer',
  71: 'read of a log',
  96: 'queued read',
  97: 'queued write',
  176: 'SMART command',
  196: 'read',
  197: 'write',
  200: 'read',
  202: 'write',
  206: 'write',
  231: 'flush of the write cache',
  234: 'flush of the write cache',
  236: 'IDENTIFY DEVICE',
  239: 'change of a setting',
};

/** Bits of the error register (Linux 6.1 drivers/ata/libata-scsi.c; the names from memory, ACS). */
const errors: readonly (readonly [number, string])[] = [
  [7, 'transfer damaged on the cable'],
  [6, 'a place could not be read'],
  [4, 'the sector was not found'],
  [2, 'refused or broken off by the drive'],
];

export function errorWords(error: number, status: number): string {
  const named = errors.filter(([index]) => bit(error, index)).map(([, words]) => words);
  const fault = bit(status, 5) ? ['the drive reported a fault of its own'] : [];
  const words = [...named, ...fault];
  return words.length > 0 ? words.join(', ') : `error ${hex(error)}, meaning not known`;
}

/** One entry of an error log in words; a place is told only where the error has one. */
export function loggedErrorWords(entry: AtaLoggedError): string {
  const command = commands[entry.command] ?? `command ${hex(entry.command)}`;
  const hasPlace = bit(entry.error, 6) || bit(entry.error, 4);
  const place = hasPlace && entry.lba !== null ? `, sector ${entry.lba}` : '';
  return `${command}: ${errorWords(entry.error, entry.status)}${place}, at ${entry.hours} h`;
}
