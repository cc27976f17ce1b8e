import { bit, pageReader } from './bytes.js';

/** What kind of thing a drive is, beside its settings; null where its words are not filled in. */
export interface AtaTraits {
  readonly formFactor: string | null;
  /** The newest standard that it says it follows. */
  readonly standard: string | null;
  /** First logical sector that starts a physical one, where that is not the first of all. */
  readonly firstAligned: number | null;
  readonly zeroAfterTrim: boolean;
  /** It has not told all of itself yet: it waits to be started (word 0 bit 2, from memory). */
  readonly incomplete: boolean;
  readonly lock: AtaLock;
  /** Steps of rest that it goes to by timers of its own (words 119 and 120 bit 7, from memory). */
  readonly restSteps: 'on' | 'off' | null;
}

/** Beside whether a password is set. */
export interface AtaLock {
  readonly locked: boolean;
  /** Nobody can set one before the next power-off. */
  readonly frozen: boolean;
  readonly triesUsedUp: boolean;
}

const formFactors = [
  null,
  '5.25 inch',
  '3.5 inch',
  '2.5 inch',
  '1.8 inch',
  'under 1.8 inch',
  'mSATA',
  'M.2',
];

/** Names by bit of word 80 (from memory). */
const standards: readonly (readonly [number, string])[] = [
  [12, 'ACS-5'],
  [11, 'ACS-4'],
  [10, 'ACS-3'],
  [9, 'ACS-2'],
  [8, 'ATA8-ACS'],
  [7, 'ATA-7'],
  [6, 'ATA-6'],
  [5, 'ATA-5'],
];

/**
 * Words 0, 69, 80, 106, 119, 120, 128, 168, 169 and 209 of IDENTIFY DEVICE: Linux 6.1
 * include/linux/ata.h, 128: Toshiba MK6017MAP p. 85; names of sizes and standards from memory.
 */
export function decodeAtaTraits(data: Uint8Array): AtaTraits {
  const page = pageReader('IDENTIFY DEVICE', data);
  page.part(0, 512);
  const word = (index: number) => page.le16(2 * index);
  const filled = (index: number) => (word(index) === 0xffff ? 0 : word(index));
  const locks = bit(filled(128), 0) ? filled(128) : 0;
  return {
    formFactor: formFactors[filled(168) & 0xf] ?? null,
    standard: standards.find(([index]) => bit(filled(80), index))?.[1] ?? null,
    firstAligned: firstAligned(word(209), word(106)),
    zeroAfterTrim: bit(filled(169), 0) && bit(filled(69), 5) && bit(filled(69), 14),
    incomplete: bit(filled(0), 2),
    restSteps: restSteps(word(119), word(120)),
    lock: { locked: bit(locks, 2), frozen: bit(locks, 3), triesUsedUp: bit(locks, 4) },
  };
}

/**
 * Words 209 and 106 are filled in when their two top bits are 01. Word 209 tells how far into a
 * physical sector the first logical one lies, so the next physical one starts that much earlier
 * (Linux 6.1 ata_id_logical_sector_offset).
 */
function firstAligned(word209: number, word106: number): number | null {
  const filled = word209 >>> 14 === 0b01 && word106 >>> 14 === 0b01 && bit(word106, 13);
  const perPhysical = 2 ** (word106 & 0xf);
  const lies = filled ? word209 & 0x3fff : 0;
  return lies === 0 || lies >= perPhysical ? null : perPhysical - lies;
}

/** Both words count only with 01 in their two top bits (Linux 6.1 include/linux/ata.h). */
function restSteps(able: number, set: number): AtaTraits['restSteps'] {
  if (able >>> 14 !== 0b01 || set >>> 14 !== 0b01 || !bit(able, 7)) return null;
  return bit(set, 7) ? 'on' : 'off';
}
