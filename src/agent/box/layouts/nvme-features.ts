import { bit, pageReader } from './bytes.js';

/** Answers to Get Features are 4 bytes: completion dword 0 (NVM Express, from memory). */
const answerBytes = 4;

/** Numbers of the features that are asked for; no function that sets one has a builder. */
export const nvmeFeature = {
  temperatureThreshold: 0x04,
  volatileWriteCache: 0x06,
  hostManagedHeat: 0x10,
} as const;

/** What two of the features' answers hold, in °C; null where the drive holds no limit. */
export interface HostManagedHeat {
  readonly slowsALittle: number | null;
  readonly slowsMore: number | null;
}

/**
 * Feature 04h: the composite temperature past which the drive raises its warning, in whole
 * kelvins; 0 and FFFFh are thresholds that no drive can pass (NVM Express, from memory).
 */
export function decodeTemperatureThreshold(data: Uint8Array): number | null {
  return celsius(answer('Temperature threshold', data) % 0x1_0000);
}

/** Feature 06h, bit 0: the cache that forgets without power is on (from memory). */
export function decodeVolatileWriteCache(data: Uint8Array): boolean {
  return bit(answer('Volatile write cache', data), 0);
}

/**
 * Feature 10h: two temperatures from which the drive slows itself, the first in the upper half, in
 * whole kelvins; 0 says that the drive does not (NVM Express 1.3, from memory).
 */
export function decodeHostManagedHeat(data: Uint8Array): HostManagedHeat {
  const value = answer('Heat management', data);
  return {
    slowsALittle: celsius(Math.floor(value / 0x1_0000)),
    slowsMore: celsius(value % 0x1_0000),
  };
}

function answer(record: string, data: Uint8Array): number {
  const page = pageReader(record, data);
  page.part(0, answerBytes);
  return page.le32(0);
}

function celsius(kelvin: number): number | null {
  return kelvin === 0 || kelvin === 0xffff ? null : kelvin - 273;
}
