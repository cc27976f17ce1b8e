import { pageReader } from './bytes.js';

/** Registers after a command, as a captured record keeps them: 12 bytes, see `RawPage`. */
export interface KeptRegisters {
  readonly failed: boolean;
  readonly device: number;
  readonly count: number;
  readonly lba: number;
}

export function decodeTaskFile(record: string, data: Uint8Array): KeptRegisters {
  const page = pageReader(record, data);
  page.part(0, 12);
  return {
    failed: (page.u8(1) & 0x21) !== 0,
    device: page.u8(2),
    count: page.u8(3) * 256 + page.u8(4),
    lba: page.le48(5),
  };
}
