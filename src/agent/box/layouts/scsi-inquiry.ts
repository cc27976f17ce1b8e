import { type AtaIdentify, decodeAtaIdentify } from './ata-identify.js';
import { bit, hex, hexDigits, type PageReader, pageReader } from './bytes.js';
import { inquiryText } from './identity-strings.js';
import { PageError } from './page-error.js';

/** Standard INQUIRY (SPC, from memory). */
export interface Inquiry {
  readonly deviceType: number;
  readonly vendor: string;
  readonly product: string;
  readonly revision: string;
}

export function decodeInquiry(data: Uint8Array): Inquiry {
  const page = pageReader('INQUIRY', data);
  return {
    deviceType: page.u8(0) & 0x1f,
    vendor: inquiryText(page.part(8, 8)),
    product: inquiryText(page.part(16, 16)),
    revision: inquiryText(page.part(32, 4)),
  };
}

/** Vital product data 80h: the unit's serial number. */
export function decodeSerialPage(data: Uint8Array): string {
  const page = vitalPage(data, 0x80);
  return page.text(4, page.be16(2));
}

/** Vital product data 83h: the NAA name of the logical unit as hex digits, or null. */
export function decodeNamePage(data: Uint8Array): string | null {
  const page = vitalPage(data, 0x83);
  const end = 4 + page.be16(2);
  for (let at = 4; at + 4 <= end; at += 4 + page.u8(at + 3)) {
    const kind = page.u8(at + 1) & 0x0f;
    const association = (page.u8(at + 1) >>> 4) & 0b11;
    if (kind === 3 && association === 0) return hexDigits(page.part(at + 4, page.u8(at + 3)));
  }
  return null;
}

/** Vital product data 89h carries a whole IDENTIFY DEVICE at byte 60 (Linux 6.1 drivetemp.c). */
export function decodeAtaInformationPage(data: Uint8Array): AtaIdentify {
  const page = vitalPage(data, 0x89);
  if (page.u8(56) !== 0xec) {
    throw new PageError(page.record, 'command ECh in byte 56', hex(page.u8(56)));
  }
  return decodeAtaIdentify(page.part(60, 512));
}

/** Vital product data B1h: revolutions a minute, 1 for solid state, null when not told. */
export function decodeCharacteristicsPage(data: Uint8Array): AtaIdentify['rotation'] {
  const page = vitalPage(data, 0xb1);
  const rotation = page.be16(4);
  if (rotation === 1) return 'solid-state';
  return rotation > 0x400 && rotation < 0xffff ? rotation : 'not-told';
}

export interface ReadCapacity {
  readonly blocks: bigint;
  readonly blockBytes: number;
  readonly physicalBlockBytes: number;
  /** Protection type 1 to 3, or null when the drive is formatted without protection. */
  readonly protectionType: number | null;
}

/** READ CAPACITY(16), 32 bytes (SBC; the protection type is the field plus one, from memory). */
export function decodeReadCapacity(data: Uint8Array): ReadCapacity {
  const page = pageReader('READ CAPACITY(16)', data);
  page.part(0, 16);
  const blockBytes = page.be32(8);
  if (blockBytes < 256 || blockBytes > 65_536) {
    throw new PageError(page.record, 'blocks of 256 to 65536 bytes', `${blockBytes}`);
  }
  const protection = page.u8(12);
  return {
    blocks: page.be64(0) + 1n,
    blockBytes,
    physicalBlockBytes: blockBytes * 2 ** (page.u8(13) & 0xf),
    protectionType: bit(protection, 0) ? ((protection >>> 1) & 0b111) + 1 : null,
  };
}

function vitalPage(data: Uint8Array, code: number): PageReader {
  const page = pageReader(`INQUIRY page ${hex(code)}`, data);
  if (page.u8(1) !== code) {
    throw new PageError(page.record, `page code ${hex(code)} in byte 1`, hex(page.u8(1)));
  }
  page.part(4, page.be16(2));
  return page;
}
