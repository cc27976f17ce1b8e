/**
 * Vital product data pages that the kernel keeps since it found the drive: reading its copies asks
 * the drive nothing. Each function answers null for a page that is too short or of another number.
 */

/** Serial number of page 80h: length in bytes 2 and 3, ASCII behind. Source: SPC-4, from memory. */
export function vitalSerial(page: Uint8Array | null): string | null {
  const body = bodyOf(page, 0x80);
  if (body === null) return null;
  const text = Buffer.from(body).toString('latin1').replaceAll('\0', ' ').trim();
  return text === '' ? null : text;
}

/**
 * World-wide name of the drive itself from page 83h, as lower-case hexadecimal: the first NAA
 * designator (type 3) that belongs to the logical unit (association 0). Source: SPC-4, from memory.
 */
export function vitalWorldWideName(page: Uint8Array | null): string | null {
  const body = bodyOf(page, 0x83);
  if (body === null) return null;
  let offset = 0;
  while (offset + 4 <= body.length) {
    const kind = body[offset + 1] ?? 0;
    const length = body[offset + 3] ?? 0;
    const value = body.subarray(offset + 4, offset + 4 + length);
    const isOwnName = (kind & 0x3f) === 3;
    if (isOwnName && value.length === length && (length === 8 || length === 16)) {
      return Buffer.from(value).toString('hex');
    }
    offset += 4 + length;
  }
  return null;
}

/**
 * The drive's IDENTIFY DEVICE page within page 89h: byte 56 names the command (ECh), bytes 60 to
 * 571 are its data. Source: Linux 6.1 drivers/hwmon/drivetemp.c, drivetemp_identify_sata.
 */
export function vitalIdentify(page: Uint8Array | null): Uint8Array | null {
  if (page === null || page.length < 572 || page[1] !== 0x89 || page[56] !== 0xec) return null;
  return page.subarray(60, 572);
}

/** Turns per minute of page B1h bytes 4 and 5: 0 is not told, 1 has no turning part. */
export function vitalRotation(page: Uint8Array | null): number | null {
  if (page === null || page.length < 6 || page[1] !== 0xb1) return null;
  const value = (page[4] ?? 0) * 256 + (page[5] ?? 0);
  return value === 0 ? null : value;
}

/** Word `index` of an IDENTIFY DEVICE page, lowest byte first. */
export function identifyWord(page: Uint8Array, index: number): number {
  return (page[2 * index] ?? 0) + (page[2 * index + 1] ?? 0) * 256;
}

/**
 * World-wide name in words 108 to 111, most significant word first; null unless word 87 says that
 * it is there. Source: Linux 6.1 include/linux/ata.h, ata_id_has_wwn.
 */
export function identifyWorldWideName(page: Uint8Array): string | null {
  if ((identifyWord(page, 87) & 0xc100) !== 0x4100) return null;
  const words = [108, 109, 110, 111].map((index) => identifyWord(page, index));
  return words.map((word) => word.toString(16).padStart(4, '0')).join('');
}

function bodyOf(page: Uint8Array | null, number: number): Uint8Array | null {
  if (page === null || page.length < 4 || page[1] !== number) return null;
  const length = (page[2] ?? 0) * 256 + (page[3] ?? 0);
  return page.subarray(4, 4 + length);
}
