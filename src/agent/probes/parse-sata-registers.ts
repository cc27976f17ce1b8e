/**
 * Registers of a SATA port as the kernel prints them in its log, in hexadecimal. Null for a text
 * that is none. Source of the bits: Linux 6.1 include/linux/ata.h and drivers/ata/libata-core.c.
 */

/** "SStatus 133": what is on the port, and how fast the link runs. */
export interface SataStatus {
  readonly device: 'none' | 'seen, no link' | 'linked' | 'switched off' | null;
  readonly bitsPerSecond: number | null;
}

const rates: Readonly<Record<number, number>> = {
  1: 1_500_000_000,
  2: 3_000_000_000,
  3: 6_000_000_000,
};

const devices: Readonly<Record<number, SataStatus['device']>> = {
  0: 'none',
  1: 'seen, no link',
  3: 'linked',
  4: 'switched off',
};

export function parseSataStatus(text: string): SataStatus | null {
  const value = register(text);
  if (value === null) return null;
  return {
    device: devices[value & 0xf] ?? null,
    bitsPerSecond: rates[(value >>> 4) & 0xf] ?? null,
  };
}

/** "SControl 320": the fastest link that the host allows; null where it sets no limit. */
export function parseSataControl(text: string): { readonly limit: number | null } | null {
  const value = register(text);
  return value === null ? null : { limit: rates[(value >>> 4) & 0xf] ?? null };
}

/** "SErr 0x4010000": what the port noticed since it was asked last. */
export interface SataErrors {
  readonly bits: readonly number[];
  readonly words: readonly string[];
  /** Something that was sent arrived damaged, which points at the data cable. */
  readonly damaged: boolean;
  /**
   * The link went and came with another device on it, and nothing was damaged before: as when the
   * drive's power drops (a measured drop of 0.4 V, reported by one builder), or when it is taken
   * out by hand.
   */
  readonly likePowerLoss: boolean;
}

const words: Readonly<Record<number, string>> = {
  0: 'data damaged, put right',
  1: 'link trouble, put right',
  8: 'data damaged',
  9: 'link trouble that stays',
  10: 'protocol error',
  11: 'error inside the controller',
  16: 'link lost or made',
  17: 'error inside the link’s chip',
  18: 'drive woke the link',
  19: '10b/8b error',
  20: 'disparity error',
  21: 'checksum error',
  22: 'handshake error',
  23: 'link sequence error',
  24: 'transport state error',
  25: 'unknown frame',
  26: 'another device',
};
const damageBits = [0, 8, 19, 20, 21, 22];
const linkChanged = 16;
const deviceChanged = 26;

export function parseSataErrors(text: string): SataErrors | null {
  const value = register(text);
  if (value === null) return null;
  const bits = Array.from({ length: 32 }, (_, bit) => bit).filter((bit) => (value >>> bit) & 1);
  return {
    bits,
    words: bits.map((bit) => words[bit] ?? `bit ${bit}, meaning not known`),
    damaged: bits.some((bit) => damageBits.includes(bit)),
    likePowerLoss: bits.length === 2 && bits[0] === linkChanged && bits[1] === deviceChanged,
  };
}

function register(text: string): number | null {
  return /^(?:0x)?[0-9a-f]{1,8}$/i.test(text) ? Number.parseInt(text, 16) : null;
}
