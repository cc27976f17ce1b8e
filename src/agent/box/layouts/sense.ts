import type { Absence, AbsenceKind } from '../box.js';

/** What sense data says, whichever of the two formats it came in. */
export interface Sense {
  readonly format: 'fixed' | 'descriptor';
  readonly key: number;
  readonly code: number;
  readonly qualifier: number;
}

/**
 * Reads key, code and qualifier from sense data in fixed (70h, 71h) or descriptor (72h, 73h)
 * format; null when the bytes are neither or are too short to hold a key. SPC, from memory.
 */
export function readSense(sense: Uint8Array): Sense | null {
  const response = (sense[0] ?? 0) & 0x7f;
  if (response === 0x70 || response === 0x71) {
    if (sense.length < 3) return null;
    return {
      format: 'fixed',
      key: byteAt(sense, 2) & 0x0f,
      code: byteAt(sense, 12),
      qualifier: byteAt(sense, 13),
    };
  }
  if ((response === 0x72 || response === 0x73) && sense.length >= 4) {
    return {
      format: 'descriptor',
      key: byteAt(sense, 1) & 0x0f,
      code: byteAt(sense, 2),
      qualifier: byteAt(sense, 3),
    };
  }
  return null;
}

interface Meaning {
  readonly kind: AbsenceKind;
  readonly says: string;
}

/** By sense key, when the additional code says nothing more exact. SPC, from memory. */
const meaningOfKey: Readonly<Record<number, Meaning>> = {
  2: { kind: 'busy', says: 'is not ready' },
  3: { kind: 'unreadable', says: 'could not read the place' },
  4: { kind: 'aborted', says: 'reports a hardware failure' },
  5: { kind: 'refused', says: 'refused a field of the command' },
  6: { kind: 'busy', says: 'reports that it was reset or changed' },
  7: { kind: 'not-permitted', says: 'is write-protected' },
  8: { kind: 'unreadable', says: 'found a blank place' },
  11: { kind: 'aborted', says: 'aborted the command' },
  14: { kind: 'damaged', says: 'found that the data differs' },
};

/** By additional code, looked at before the key. SPC and SBC, from memory. */
const meaningOfCode: Readonly<Record<number, Meaning>> = {
  16: { kind: 'damaged', says: 'found that the protection of the data does not match' },
  32: { kind: 'not-supported', says: 'does not know the command' },
  37: { kind: 'gone', says: 'is not known under this number any more' },
  58: { kind: 'not-there', says: 'holds no medium' },
};

/**
 * The class of a command that ended with sense data. `name` is the command, for the sentence.
 * Sense that cannot be read is a class of its own, `aborted`, and never a success.
 */
export function absenceFromSense(name: string, sense: Uint8Array): Absence {
  const read = readSense(sense);
  if (read === null) {
    const text = `The drive failed ${name} and gave no reason that can be read`;
    return { kind: 'aborted', text, sense };
  }
  const meaning = meaningOfCode[read.code] ?? meaningOfKey[read.key];
  const says = meaning?.says ?? 'gave an unknown reason';
  const numbers = `sense ${hex(read.key)}/${hex(read.code)}/${hex(read.qualifier)}`;
  return {
    kind: meaning?.kind ?? 'aborted',
    text: `The drive ${says} on ${name} (${numbers})`,
    sense,
  };
}

/** True for the sense key that only says that the drive was reset: the command may be repeated. */
export function isUnitAttention(sense: Uint8Array): boolean {
  return readSense(sense)?.key === 6;
}

/** True when the drive says that its spindle stands still until it is started. */
export function saysStopped(sense: Uint8Array): boolean {
  const read = readSense(sense);
  if (read === null) return false;
  const startNeeded = read.key === 2 && read.code === 0x04 && read.qualifier === 0x02;
  return startNeeded || (read.key === 0 && isStandbyCondition(read.code, read.qualifier));
}

/** Low power conditions with a stopped spindle: standby by timer or command, standby_y. */
function isStandbyCondition(code: number, qualifier: number): boolean {
  return code === 0x5e && [0x02, 0x04, 0x09, 0x0a].includes(qualifier);
}

function byteAt(bytes: Uint8Array, index: number): number {
  return bytes[index] ?? 0;
}

function hex(byte: number): string {
  return byte.toString(16).toUpperCase().padStart(2, '0');
}
