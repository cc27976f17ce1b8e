import type { PageReader } from './bytes.js';

/**
 * The name in a record of the sensor list: a byte of form and length, then the name. Forms are
 * letters of 8 bits, letters packed in 6 bits and decimal digits; a name in another form, or
 * without a letter, is no name (IPMI 2.0, type/length byte, from memory).
 */
export function sensorName(page: PageReader, offset: number): string | null {
  const head = page.u8(offset);
  const length = head & 0x1f;
  const form = head >> 6;
  if (length === 0) return null;
  const text = textOf(page, { form, at: offset + 1, length });
  return text === null || text === '' ? null : text;
}

interface Packed {
  readonly form: number;
  readonly at: number;
  readonly length: number;
}

function textOf(page: PageReader, { form, at, length }: Packed): string | null {
  if (form === 3) return page.text(at, length);
  if (form === 2) return sixBitText(page.part(at, length));
  return form === 1 ? decimalText(page.part(at, length)) : null;
}

/** Four letters in three bytes, lowest bits first; 0 is a space. */
function sixBitText(bytes: Uint8Array): string {
  const letters = Math.floor((bytes.length * 8) / 6);
  return Array.from({ length: letters }, (_, index) => {
    const bit = index * 6;
    const pair = (bytes[bit >> 3] ?? 0) + (bytes[(bit >> 3) + 1] ?? 0) * 256;
    return String.fromCharCode(0x20 + ((pair >> (bit & 7)) & 0x3f));
  })
    .join('')
    .trim();
}

const decimalLetters = '0123456789 -.';

/** Two digits a byte, the high half first. */
function decimalText(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => [byte >> 4, byte & 0x0f])
    .flat()
    .map((digit) => decimalLetters[digit] ?? '?')
    .join('')
    .trim();
}
