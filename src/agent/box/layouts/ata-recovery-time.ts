import { pageReader } from './bytes.js';

/** A limit in milliseconds, or why the registers hold none. */
export type RecoveryTime =
  | { readonly milliseconds: number }
  | { readonly none: 'off' | 'refused' | 'echo' };

/** What a path shows that hands the command's own registers back: COUNT 01h, LBA low E0h. */
const echo = 0xe001;

/**
 * Registers after the question for an error recovery timer: COUNT holds the low byte, the lowest
 * LBA byte the high byte, in steps of 100 ms; 0 says that the timer is off (HGST HC580 p. 96,
 * Hitachi 7K1000.C p. 94).
 */
export function decodeRecoveryTime(data: Uint8Array): RecoveryTime {
  const page = pageReader('SCT error recovery timer', data);
  page.part(0, 12);
  if ((page.u8(1) & 0x21) !== 0) return { none: 'refused' };
  const steps = page.u8(4) + page.u8(5) * 256;
  if (steps === 0) return { none: 'off' };
  return steps === echo || steps === 0xffff ? { none: 'echo' } : { milliseconds: steps * 100 };
}
