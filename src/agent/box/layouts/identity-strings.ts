/** What a drive's own answer calls it: the strings that stand on its label. */
export interface LabelStrings {
  readonly model: string;
  readonly serial: string;
}

/**
 * Model and serial out of IDENTIFY DEVICE: words 27-46 and 10-19, where the high byte of each
 * word is the first character (Linux 6.1 include/linux/ata.h). Null for a page that is too short.
 */
export function ataLabel(page: Uint8Array): LabelStrings | null {
  if (page.length < 512) return null;
  return { model: swapped(page.subarray(54, 94)), serial: swapped(page.subarray(20, 40)) };
}

/** Model and serial out of Identify Controller: bytes 24-63 and 4-23. */
export function nvmeLabel(page: Uint8Array): LabelStrings | null {
  if (page.length < 64) return null;
  return { model: plain(page.subarray(24, 64)), serial: plain(page.subarray(4, 24)) };
}

/** Product out of standard INQUIRY (bytes 16-31) and serial out of vital product data page 80h. */
export function scsiLabel(inquiry: Uint8Array, page80: Uint8Array): LabelStrings | null {
  const serial = scsiSerial(page80);
  if (inquiry.length < 32 || serial === null) return null;
  return { model: inquiryText(inquiry.subarray(16, 32)), serial };
}

/**
 * A text of standard INQUIRY as the kernel keeps it, so that both are one: a zero byte ends it, and
 * what is not printable becomes a space. Source: Linux 6.1 drivers/scsi/scsi_scan.c,
 * scsi_sanitize_inquiry_string.
 */
export function inquiryText(bytes: Uint8Array): string {
  const end = bytes.indexOf(0);
  const told = end < 0 ? bytes : bytes.subarray(0, end);
  return plain(Uint8Array.from(told, (byte) => (byte >= 0x20 && byte < 0x7f ? byte : 0)));
}

/** The serial in vital product data page 80h; null when the bytes are another page. */
export function scsiSerial(page80: Uint8Array): string | null {
  if (page80.length < 4 || page80[1] !== 0x80) return null;
  const length = (page80[2] ?? 0) * 256 + (page80[3] ?? 0);
  return plain(page80.subarray(4, 4 + length));
}

function swapped(bytes: Uint8Array): string {
  const turned = Uint8Array.from(bytes);
  for (let index = 0; index + 1 < bytes.length; index += 2) {
    turned[index] = bytes[index + 1] ?? 0;
    turned[index + 1] = bytes[index] ?? 0;
  }
  return plain(turned);
}

/** Printable ASCII without the spaces and zeros that pad it; anything else becomes "?". */
function plain(bytes: Uint8Array): string {
  const characters = Array.from(bytes, (byte) => {
    if (byte === 0) return ' ';
    return byte >= 0x20 && byte < 0x7f ? String.fromCharCode(byte) : '?';
  });
  return characters.join('').trim();
}
