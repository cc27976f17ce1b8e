import { pageReader } from './bytes.js';
import { PageError } from './page-error.js';

/**
 * Sectors by page 02h of the IDENTIFY DEVICE data log 30h: 8 bytes from byte 8 on, bit 63 says
 * that they are filled in. Null when the drive does not keep the page or the figure. ACS, from
 * memory.
 */
export function decodeCapacityPage(data: Uint8Array): bigint | null {
  const page = pageReader('IDENTIFY DEVICE data page 2', data);
  page.part(0, 512);
  const header = page.le64(0);
  if (header >> 63n === 0n) return null;
  if (page.u8(2) !== 2) throw new PageError(page.record, 'page number 2', `${page.u8(2)}`);
  const capacity = page.le64(8);
  return capacity >> 63n === 0n ? null : capacity & 0xffff_ffff_ffffn;
}
