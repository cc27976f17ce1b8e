import { page, putBig } from './sim-bytes.js';
import type { SimParts } from './sim-drive-time.js';

/** One parameter of a log page: its code, its flags, its length, then its value. */
export function parameter(code: number, value: Buffer): Buffer {
  const head = page(4);
  head.writeUInt16BE(code, 0);
  head[2] = 0x03;
  head[3] = value.length;
  return Buffer.concat([head, value]);
}

/** Page 18h: one port with one phy at 12 Gb/s; the first counter stands for a bad cable. */
export function phyPage({ state }: SimParts): Buffer {
  const value = page(56);
  value[0] = 6;
  value[3] = 1;
  value[7] = 0x30;
  value[8] = 0x10;
  value[9] = 0x0b;
  putBig(value, { at: 36, length: 4 }, state.interfaceCrcErrors);
  return parameter(1, value);
}

/** Page 19h: commands of 64 KiB each, and the blocks that they moved. */
export function blockCounts({ nature, state }: SimParts): Buffer {
  const value = page(64);
  putBig(value, { at: 0, length: 8 }, state.bytesRead / 65_536);
  putBig(value, { at: 8, length: 8 }, state.bytesWritten / 65_536);
  putBig(value, { at: 16, length: 8 }, state.bytesWritten / nature.logicalBlockBytes);
  putBig(value, { at: 24, length: 8 }, state.bytesRead / nature.logicalBlockBytes);
  return parameter(1, value);
}
