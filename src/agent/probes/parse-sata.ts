const gigabit = 1_000_000_000;

/**
 * Text of sata_spd, hw_sata_spd_limit and sata_spd_limit as bits per second; null for "<unknown>".
 * Source: Linux drivers/ata/libata-core.c, sata_spd_string: "1.5 Gbps", "3.0 Gbps", "6.0 Gbps".
 */
export function parseSataSpeed(text: string | null): number | null {
  const match = /^(1\.5|3\.0|6\.0) Gbps$/.exec(text ?? '');
  return match === null ? null : Number(match[1]) * gigabit;
}

/**
 * Highest SATA rate that a drive's IDENTIFY word 76 lists, as bits per second. 0000h and FFFFh
 * mean that the word says nothing; so does a word with none of the three rate bits. Source: ATA
 * command sets and SATA, from memory (bits 1, 2, 3 are 1.5, 3 and 6 Gb/s).
 */
export function driveSataSpeedMax(word76: number): number | null {
  if (word76 === 0 || word76 === 0xffff) return null;
  if (word76 & 0b1000) return 6 * gigabit;
  if (word76 & 0b0100) return 3 * gigabit;
  return word76 & 0b0010 ? 1.5 * gigabit : null;
}

/** Number of the link that belongs to a SATA port of the kernel: "ata3" becomes "link3". */
export function linkOfPort(ataPort: string): string {
  return ataPort.replace('ata', 'link');
}
