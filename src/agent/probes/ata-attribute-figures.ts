import type { SmartAttribute } from '../box/layouts/ata-smart.js';
import { type Told, told, untold } from './told.js';

/**
 * What raw values of attributes mean. The standards leave them to the makers, so only what makers
 * published or common practice agrees on is read; anything else is "meaning not known".
 */

const word32 = 0xffff_ffff;

/** A plain count. Larger than 32 bits is several values in one, or another unit. */
export function plainCount(attribute: SmartAttribute): Told<number> {
  return attribute.raw <= word32 ? told(attribute.raw) : unclear(attribute, 'which is no count');
}

/** Attribute 188 is three 16-bit counts on some drives and one count on others (no source). */
export function commandsOverdue(attribute: SmartAttribute): Told<number> {
  if (attribute.raw <= 0xffff) return told(attribute.raw);
  return unclear(attribute, 'which may be three counts of 16 bits in one');
}

/** The first raw byte is °C on nearly all drives (Linux 6.1 drivers/hwmon/drivetemp.c). */
export function temperature(attribute: SmartAttribute): Told<number> {
  const byte = attribute.raw % 256;
  if (byte === 0x80 || byte === 0xff) return unclear(attribute, 'which says "not measured"');
  const celsius = byte > 0x80 ? byte - 256 : byte;
  return celsius < -60 ? unclear(attribute, 'which is no temperature') : told(celsius);
}

const hoursMax = 300_000;

/**
 * Attribute 9 counts hours on most drives, minutes or less on some. One family (Intel SSD, product
 * manual of the 520 series p. 18) keeps hours in the low 32 bits and a fraction above.
 */
export function hours(attribute: SmartAttribute, model: string): Told<number> {
  const packed = attribute.raw > word32 && /^INTEL SSD/i.test(model);
  const count = packed ? attribute.raw % 2 ** 32 : attribute.raw;
  if (count <= hoursMax) return told(count);
  return unclear(attribute, `which is more than ${hoursMax}, so its unit is not hours`);
}

export interface PackedRate {
  readonly errors: number;
  readonly operations: number;
}

/**
 * Attributes 1 and 7 of one family (models ST…): errors in the top 16 bits, operations below.
 * The drive's own rounded rate, -10·log10(errors/operations), must agree within 1, else nothing
 * is told. Common practice, no maker's source.
 */
export function packedRate(attribute: SmartAttribute, model: string): Told<PackedRate> {
  if (!/^ST\d/.test(model)) {
    return untold(`Attribute ${attribute.id} differs from maker to maker: meaning not known`);
  }
  const errors = Math.floor(attribute.raw / 2 ** 32);
  const operations = attribute.raw % 2 ** 32;
  const rate = -10 * Math.log10(Math.max(errors, 1) / operations);
  const agrees = attribute.current !== null && Math.abs(rate - attribute.current) <= 1;
  if (agrees) return told({ errors, operations });
  return unclear(attribute, 'which does not agree with the rate that the drive itself shows');
}

function unclear<T>(attribute: SmartAttribute, what: string): Told<T> {
  const raw = attribute.raw.toString(16).toUpperCase().padStart(12, '0');
  return untold(`Attribute ${attribute.id} holds ${raw}h, ${what}: meaning not known`);
}
