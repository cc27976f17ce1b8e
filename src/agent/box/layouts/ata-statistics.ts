import { bit, type PageReader, pageReader } from './bytes.js';
import { PageError } from './page-error.js';

type Width = 'u8' | 's8' | 'u16' | 'u32' | 'u48';

/**
 * Fields of the Device Statistics log 04h: page, offset, width. Offsets of pages 1, 4, 5, 6 and 7
 * as in the Intel SSD 730 specification p. 21 and the DC S3610 datasheet p. 26; pages 2 and 3, the
 * widths and what is not on those two pages as in ACS-2 to ACS-4, from memory. Left out, since what
 * they count is not clear to us: the timestamp, usage rate and resources of page 1.
 */
export const statisticFields = {
  'power-on resets': [1, 8, 'u32'],
  'power-on hours': [1, 16, 'u32'],
  'logical sectors written': [1, 24, 'u48'],
  'write commands': [1, 32, 'u48'],
  'logical sectors read': [1, 40, 'u48'],
  'read commands': [1, 48, 'u48'],
  'pending error count': [1, 64, 'u32'],
  'workload utilization': [1, 72, 'u16'],
  'free-fall events': [2, 8, 'u32'],
  'over-limit shock events': [2, 16, 'u32'],
  'spindle motor power-on hours': [3, 8, 'u32'],
  'head flying hours': [3, 16, 'u32'],
  'head load events': [3, 24, 'u32'],
  'reallocated logical sectors': [3, 32, 'u32'],
  'read recovery attempts': [3, 40, 'u32'],
  'mechanical start failures': [3, 48, 'u32'],
  'reallocation candidate logical sectors': [3, 56, 'u32'],
  'high-priority unload events': [3, 64, 'u32'],
  'reported uncorrectable errors': [4, 8, 'u32'],
  'resets between command acceptance and completion': [4, 16, 'u32'],
  'physical element status changed': [4, 24, 'u32'],
  'current temperature': [5, 8, 's8'],
  'average short term temperature': [5, 16, 's8'],
  'average long term temperature': [5, 24, 's8'],
  'highest temperature': [5, 32, 's8'],
  'lowest temperature': [5, 40, 's8'],
  'highest average short term temperature': [5, 48, 's8'],
  'lowest average short term temperature': [5, 56, 's8'],
  'highest average long term temperature': [5, 64, 's8'],
  'lowest average long term temperature': [5, 72, 's8'],
  'minutes over temperature': [5, 80, 'u32'],
  'specified maximum operating temperature': [5, 88, 's8'],
  'minutes under temperature': [5, 96, 'u32'],
  'specified minimum operating temperature': [5, 104, 's8'],
  'hardware resets': [6, 8, 'u32'],
  'signal recoveries': [6, 16, 'u32'],
  'interface CRC errors': [6, 24, 'u32'],
  'percentage used': [7, 8, 'u8'],
} as const satisfies Record<string, readonly [number, number, Width]>;

export type StatisticName = keyof typeof statisticFields;

export type Statistic =
  | { readonly usable: true; readonly value: number }
  | { readonly usable: false; readonly why: string };

/** Page numbers that page 00h lists. */
export function decodeStatisticsList(data: Uint8Array): readonly number[] {
  const page = statisticsPage(data, 0);
  if (page === null) return [];
  return Array.from(page.part(9, page.u8(8)));
}

/** The known statistics of one page, or null when the drive says that it does not keep the page. */
export function decodeStatisticsPage(
  data: Uint8Array,
  number: number,
): ReadonlyMap<StatisticName, Statistic> | null {
  const page = statisticsPage(data, number);
  if (page === null) return null;
  const names = Object.keys(statisticFields) as StatisticName[];
  const onPage = names.filter((name) => statisticFields[name][0] === number);
  return new Map(onPage.map((name) => [name, statistic(page, name)]));
}

/**
 * Figures of one page that have passed a limit that somebody set in the drive: flag bit 4 says that
 * one can be set, bit 3 that it is passed (Device Statistics Notification, ACS-3, from memory).
 */
export function decodePassedLimits(data: Uint8Array, number: number): readonly StatisticName[] {
  const page = statisticsPage(data, number);
  if (page === null) return [];
  const names = Object.keys(statisticFields) as StatisticName[];
  return names.filter((name) => {
    const [onPage, offset] = statisticFields[name];
    return onPage === number && (page.u8(offset + 7) & passedLimit) === passedLimit;
  });
}

/** Supported, valid, can be watched, and its limit is passed. */
const passedLimit = 0b1101_1000;

/** Revision 0000h says "not supported" (HGST HC580 p. 198: such a page reads as zeros). */
function statisticsPage(data: Uint8Array, number: number): PageReader | null {
  const page = pageReader(`Device Statistics page ${number}`, data);
  page.part(0, 512);
  if (page.le16(0) === 0) return null;
  if (page.u8(2) !== number) {
    throw new PageError(page.record, `page number ${number} in byte 2`, `${page.u8(2)}`);
  }
  return page;
}

/** Byte 7 of each figure: bit 7 supported, 6 valid, 5 normalised (ACS-2 and later, from memory). */
function statistic(page: PageReader, name: StatisticName): Statistic {
  const [, offset, width] = statisticFields[name];
  const flags = page.u8(offset + 7);
  if (!bit(flags, 7)) return { usable: false, why: `The drive does not keep "${name}"` };
  if (!bit(flags, 6)) return { usable: false, why: `The drive marks "${name}" as not valid` };
  if (bit(flags, 5)) {
    return { usable: false, why: `The drive gives "${name}" as a normalised value, not a count` };
  }
  if (width === 's8' && page.u8(offset) === 0x80) {
    return { usable: false, why: `The drive marks "${name}" as not measured (80h)` };
  }
  return { usable: true, value: numberAt(page, offset, width) };
}

function numberAt(page: PageReader, offset: number, width: Width): number {
  switch (width) {
    case 'u8':
      return page.u8(offset);
    case 's8':
      return page.s8(offset);
    case 'u16':
      return page.le16(offset);
    case 'u32':
      return page.le32(offset);
    case 'u48':
      return page.le48(offset);
  }
}
