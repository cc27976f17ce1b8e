/** Bytes written as pairs of hexadecimal digits. */
export function bytesOf(...lines: readonly string[]): Uint8Array {
  return Uint8Array.from(lines.join(' ').split(' '), (pair) => Number.parseInt(pair, 16));
}

/**
 * Records of a sensor list, laid down after IPMI 2.0 from memory; names are invented. Five bytes of
 * head, owner 20h, unit, number, entity, instance, start, abilities, type, event type, three masks.
 */
const masks = '00 00 00 00';

/** Number 11h, °C, two's complement, factor 1; upper limits 45 and 50 can be read (mask 18h). */
export const fullIntake = bytesOf(
  '01 00 51 01 31 20 00 11 37 01 7f 68 01 01',
  `${masks} 18 18 80 01 00 00 01 00 00 00 00 00`,
  '00 00 00 00 00 00 00 32 2d 00 00 00 02 02 00 00 00',
  'c6 49 6e 74 61 6b 65',
);

/**
 * Number 41h, rpm (12h), factor 300 (12Ch: 2Ch and 40h), offset -60 (3C4h: C4h and C0h), result
 * exponent -1 (F0h); lower limits 20 and 10 can be read (mask 03h).
 */
export const fullFan = bytesOf(
  '02 00 51 01 30 20 00 41 1d 01 7f 68 04 01',
  `${masks} 03 03 00 12 00 00 2c 40 c4 c0 00 f0`,
  '00 00 00 00 00 00 00 00 00 00 0a 14 01 01 00 00 00',
  'c5 46 61 6e 20 31',
);

/** Numbers 60h and 61h, power supplies with states of their own type, lettered from A. */
export const compactSupplies = bytesOf(
  '03 00 51 02 1d 20 00 60 0a 01 67 40 08 6f',
  `${masks} ff 00 c0 00 00 12 00 00 00 00 00 00 00`,
  'c2 50 53',
);
