import { bit, hex, pageReader } from './bytes.js';
import { PageError } from './page-error.js';

/** What a drive does with blocks that nobody needs any more, and where its blocks lie. */
export interface Provisioning {
  /** Blocks can be given back to the drive. */
  readonly trim: boolean;
  /** Blocks that were given back read as zeros. */
  readonly zeroAfterTrim: boolean;
  /** The first logical block that starts a physical one. */
  readonly firstAligned: number;
}

/** Older drives send only the first 12 bytes, where the rest is not told (SBC, from memory). */
const capacityBytes = 32;

/** READ CAPACITY(16), bytes 14 and 15 (SBC, from memory); null where the drive sends fewer. */
export function decodeProvisioning(data: Uint8Array): Provisioning | null {
  const page = pageReader('READ CAPACITY(16)', data);
  page.part(0, 12);
  if (page.length < capacityBytes) return null;
  const flags = page.u8(14);
  const trim = bit(flags, 7);
  return {
    trim,
    zeroAfterTrim: trim && bit(flags, 6),
    firstAligned: page.be16(14) & 0x3fff,
  };
}

export type Zones = 'host-aware' | 'managed by the drive' | 'managed by the host';

/** Device type 14h of INQUIRY: zones that take writes only in their order (ZBC, from memory). */
const hostManaged = 0x14;

export function zonesOfDeviceType(deviceType: number): Zones | null {
  return deviceType === hostManaged ? 'managed by the host' : null;
}

/**
 * Page B1h, byte 8, bits 5:4: 1 host-aware, 2 managed by the drive, 0 not told, 3 kept free (Linux
 * 6.1 libata-scsi.c ata_scsiop_inq_b1; the words from memory).
 */
export function decodeZones(data: Uint8Array): Zones | null {
  const page = pageReader('INQUIRY page B1h', data);
  if (page.u8(1) !== 0xb1) {
    throw new PageError(page.record, 'page code B1h in byte 1', hex(page.u8(1)));
  }
  page.part(4, page.be16(2));
  const code = (page.u8(8) >>> 4) & 0b11;
  return ([null, 'host-aware', 'managed by the drive', null] as const)[code] ?? null;
}

const formFactors = [null, '5.25 inch', '3.5 inch', '2.5 inch', '1.8 inch', 'under 1.8 inch'];

/** Page B1h, byte 7, bits 3:0; the same codes as word 168 of IDENTIFY DEVICE. */
export function decodeFormFactor(data: Uint8Array): string | null {
  const page = pageReader('INQUIRY page B1h', data);
  return formFactors[page.u8(7) & 0xf] ?? null;
}
