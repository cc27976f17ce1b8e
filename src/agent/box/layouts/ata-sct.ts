import { type PageReader, pageReader } from './bytes.js';
import { PageError } from './page-error.js';

/** SCT status, log E0h (HGST HC580 p. 92). Temperatures in °C; null where the byte says 80h. */
export interface SctStatus {
  readonly formatVersion: number;
  readonly state: number;
  readonly temperature: number | null;
  readonly lowestThisCycle: number | null;
  readonly highestThisCycle: number | null;
  readonly lowestEver: number | null;
  readonly highestEver: number | null;
  readonly overLimitCount: number;
  readonly underLimitCount: number;
}

export function decodeSctStatus(data: Uint8Array): SctStatus {
  const page = pageReader('SCT status', data);
  page.part(0, 512);
  const formatVersion = page.le16(0);
  // Linux 6.1 drivers/hwmon/drivetemp.c believes versions 2 and 3 only.
  if (formatVersion !== 2 && formatVersion !== 3) {
    throw new PageError(page.record, 'format version 2 or 3', `${formatVersion}`);
  }
  return {
    formatVersion,
    state: page.u8(10),
    temperature: celsius(page, 200),
    lowestThisCycle: celsius(page, 201),
    highestThisCycle: celsius(page, 202),
    lowestEver: celsius(page, 203),
    highestEver: celsius(page, 204),
    overLimitCount: page.le32(206),
    underLimitCount: page.le32(210),
  };
}

function celsius(page: PageReader, offset: number): number | null {
  return page.u8(offset) === 0x80 ? null : page.s8(offset);
}

/** SCT temperature table, log E1h. Null where the byte says 80h. */
export interface SctTemperatures {
  readonly minutesApart: number;
  readonly highestRecommended: number | null;
  readonly highestAllowed: number | null;
  readonly lowestRecommended: number | null;
  readonly lowestAllowed: number | null;
  /** Kept temperatures without the gaps; their order in time is not told. */
  readonly kept: readonly number[];
}

/**
 * Format 2: interval at 4, limits at 6 to 9, entries at 30, from 34 on the ring (Hitachi
 * 7K1000.C p. 98, HGST HC310 p. 105).
 */
export function decodeSctTemperatures(data: Uint8Array): SctTemperatures {
  const page = pageReader('SCT temperature table', data);
  page.part(0, 512);
  if (page.le16(0) !== 2) {
    throw new PageError(page.record, 'format version 2', `${page.le16(0)}`);
  }
  const entries = page.le16(30);
  if (entries < 1 || 34 + entries > page.length) {
    throw new PageError(page.record, `1 to ${page.length - 34} entries`, `${entries}`);
  }
  const places = Array.from({ length: entries }, (_, index) => 34 + index);
  return {
    minutesApart: page.le16(4),
    highestRecommended: celsius(page, 6),
    highestAllowed: celsius(page, 7),
    lowestRecommended: celsius(page, 8),
    lowestAllowed: celsius(page, 9),
    kept: places.flatMap((at) => celsius(page, at) ?? []),
  };
}
