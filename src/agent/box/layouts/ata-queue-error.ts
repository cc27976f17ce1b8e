import { pageReader, requireZeroSum } from './bytes.js';

/** The last error of the command queue; null when the log holds none. */
export interface QueueError {
  readonly queued: boolean;
  readonly tag: number;
  readonly status: number;
  readonly error: number;
  readonly lba: number;
}

/**
 * Queued command error log 10h (Linux 6.1 drivers/ata/libata-sata.c ata_eh_read_log_10h, Hitachi
 * 5K160 p. 103). A status without its error bit means that nothing has failed.
 */
export function decodeQueueError(data: Uint8Array): QueueError | null {
  const page = pageReader('Queued command error log 10h', data);
  requireZeroSum(page);
  const status = page.u8(2);
  if ((status & 0x01) === 0) return null;
  const places = [4, 5, 6, 8, 9, 10];
  return {
    queued: (page.u8(0) & 0x80) === 0,
    tag: page.u8(0) & 0x1f,
    status,
    error: page.u8(3),
    lba: places.reduce((sum, place, index) => sum + page.u8(place) * 256 ** index, 0),
  };
}
