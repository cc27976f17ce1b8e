import { pageReader, requireZeroSum } from './bytes.js';

/** One counter of the link's own events. It starts again at every power-on. */
export interface LinkCounter {
  /** Number of the counter, with bit 15 set where the maker defined it. */
  readonly id: number;
  readonly value: number;
  /** All bits set: the counter stands still there. */
  readonly full: boolean;
}

const vendorBit = 0x8000;
const numberBits = 0x8fff;

/**
 * Phy event counters, log 11h: from byte 4 on an identifier of 16 bits and a value of one to four
 * words as bits 14:12 say; identifier 0 ends the list (HGST HC580 p. 212, Hitachi 7K3000 p. 80).
 * A value too large for an exact number is taken as full.
 */
export function decodeLinkCounters(data: Uint8Array): readonly LinkCounter[] {
  const page = pageReader('Link counters 11h', data);
  requireZeroSum(page);
  const counters: LinkCounter[] = [];
  for (let at = 4; at + 2 <= 511; ) {
    const word = page.le16(at);
    const bytes = ((word >>> 12) & 0b111) * 2;
    if (word === 0 || bytes === 0 || bytes > 8 || at + 2 + bytes > 511) break;
    const value = page.part(at + 2, bytes).reduceRight((sum, byte) => sum * 256 + byte, 0);
    const full = page.part(at + 2, bytes).every((byte) => byte === 0xff);
    counters.push({ id: word & numberBits, value, full: full || value > Number.MAX_SAFE_INTEGER });
    at += 2 + bytes;
  }
  return counters;
}

/** What the standard's numbers count (Hitachi 7K3000 p. 80, HGST HC580 p. 212). */
const meanings: Readonly<Record<number, string>> = {
  1: 'commands ended by a damaged transfer',
  2: 'data frames refused, both ways',
  3: 'data frames refused, from the drive',
  4: 'data frames refused, to the drive',
  5: 'other frames refused, both ways',
  6: 'other frames refused, from the drive',
  7: 'other frames refused, to the drive',
  8: 'other frames sent again by the drive',
  9: 'link lost while in use',
  10: 'link started anew',
  11: 'checksum errors, to the drive',
  13: 'other errors of frames, to the drive',
  15: 'data frames refused for a checksum, to the drive',
  16: 'data frames refused for another reason, to the drive',
  18: 'other frames refused for a checksum, to the drive',
  19: 'other frames refused for another reason, to the drive',
};

export function linkCounterMeaning(id: number): string | null {
  return (id & vendorBit) === 0 ? (meanings[id] ?? null) : null;
}
