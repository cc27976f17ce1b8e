import { hex, pageReader } from './bytes.js';

/** Who a management controller says that it is. */
export interface ControllerIdentity {
  /** Number of its maker in the list of private enterprises; null where it tells none. */
  readonly makerNumber: number | null;
  readonly productNumber: number;
  readonly firmware: string;
  readonly specification: string;
  /** Starting or writing its firmware anew: it answers little else meanwhile. */
  readonly updating: boolean;
  readonly hasSensorList: boolean;
  readonly hasEventLog: boolean;
}

/**
 * Answer to Get Device ID. The major firmware number is binary, the minor one two decimal digits;
 * the digits of the specification stand in exchanged order (IPMI 2.0, from memory).
 */
export function decodeControllerIdentity(data: Uint8Array): ControllerIdentity {
  const page = pageReader('Identity of the management controller', data);
  const version = page.u8(4);
  const abilities = page.u8(5);
  const maker = page.u8(6) + page.u8(7) * 256 + (page.u8(8) & 0x0f) * 65_536;
  return {
    makerNumber: maker === 0 || maker === 0xfffff ? null : maker,
    productNumber: page.le16(9),
    firmware: `${page.u8(2) & 0x7f}.${hex(page.u8(3)).slice(0, 2)}`,
    specification: `${version & 0x0f}.${version >> 4}`,
    updating: (page.u8(2) & 0x80) !== 0,
    hasSensorList: (abilities & 0x02) !== 0,
    hasEventLog: (abilities & 0x04) !== 0,
  };
}
