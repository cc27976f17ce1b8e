import { pageReader } from '../../src/agent/box/layouts/bytes.js';
import { PageError } from '../../src/agent/box/layouts/page-error.js';
import { u8, u16 } from './limits.js';
import { type FuzzTarget, joinedTarget } from './target.js';

/**
 * A reader of made-up records, with a defect on purpose: a head of code, flags and length, then
 * records of code, length and value. Its length is believed where two flags are set, so a cut page
 * whose length lies gives a figure that is none. The fuzzer must find it.
 */
export function canaryTarget(): FuzzTarget {
  return joinedTarget([], recordsOf, {
    name: 'canary',
    seeds: [Uint8Array.of(0x2a, 0x00, 0, 8, 0x11, 2, 0x12, 0x34, 0x12, 2, 0x00, 0x01)],
    limits: { code: u8, value: u16 },
  });
}

/** The records of one page; a page of 512 bytes or fewer, its first byte 2Ah. */
function recordsOf(data: Uint8Array): unknown {
  const page = pageReader('Canary', data);
  if (page.u8(0) !== 0x2a) throw new PageError(page.record, 'code 2Ah', `${page.u8(0)}`);
  const isTrusted = (page.u8(1) & 0x81) === 0x81;
  const end = 4 + page.be16(2);
  if (!isTrusted) page.part(0, end);
  const records: { readonly code: number; readonly value: number }[] = [];
  for (let at = 4; at + 4 <= end; at += 4) {
    const isFound = !isTrusted || at + 4 <= page.length;
    if (!isFound && page.u8(at - 4) !== 0x12) break;
    records.push({ code: data[at] ?? 0, value: valueAt(data, at + 2) });
    if (!isFound) break;
  }
  return records;
}

/** The defect: nothing is asked about the page's end, so what is missing is no number. */
function valueAt(data: Uint8Array, at: number): number {
  return Number(data[at]) * 256 + Number(data[at + 1]);
}
