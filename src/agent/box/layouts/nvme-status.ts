import type { Absence, AbsenceKind } from '../box.js';

/**
 * What an NVMe status means: bits 7:0 code, 10:8 type, 4000h "do not retry"
 * (Linux 6.1 include/linux/nvme.h). Type 0 generic, 1 of this command, 2 medium, 3 path.
 */
export function nvmeAbsence(name: string, status: number): Absence {
  const code = status & 0xff;
  const type = (status >> 8) & 0x7;
  const kind = kindOfStatus.get(type * 256 + code) ?? kindOfType[type] ?? 'aborted';
  const number = status.toString(16).toUpperCase().padStart(4, '0');
  return { kind, text: `The drive ${saysOfKind[kind] ?? 'failed'} ${name} (status ${number}h)` };
}

const kindOfStatus: ReadonlyMap<number, AbsenceKind> = new Map([
  [0x001, 'not-supported'],
  [0x002, 'not-supported'],
  [0x007, 'aborted'],
  [0x00b, 'gone'],
  [0x020, 'not-permitted'],
  [0x109, 'not-supported'],
  [0x281, 'unreadable'],
  [0x282, 'damaged'],
  [0x283, 'damaged'],
  [0x284, 'damaged'],
  [0x285, 'damaged'],
  [0x286, 'not-permitted'],
  [0x287, 'unreadable'],
]);

const kindOfType: Readonly<Record<number, AbsenceKind>> = {
  0: 'aborted',
  1: 'refused',
  2: 'aborted',
  3: 'aborted',
};

const saysOfKind: Readonly<Partial<Record<AbsenceKind, string>>> = {
  'not-supported': 'does not do',
  refused: 'refused',
  unreadable: 'could not read the place of',
  damaged: 'found damaged data on',
  gone: 'does not have the namespace of',
  'not-permitted': 'does not permit',
};
