import type { SmartAttribute } from '../box/layouts/ata-smart.js';
import { unclear } from './attribute-families.js';
import { type Told, told } from './told.js';

/**
 * What raw values mean on nearly all drives. The standards leave them to the makers, so only what
 * makers published or common practice agrees on is read; anything else is "meaning not known".
 */

const word32 = 0xffff_ffff;

/** A plain count. Larger than 32 bits is several values in one, or another unit. */
export function plainCount(attribute: SmartAttribute): Told<number> {
  return attribute.raw <= word32 ? told(attribute.raw) : unclear(attribute, 'which is no count');
}

/** The first raw byte is °C on nearly all drives (Linux 6.1 drivers/hwmon/drivetemp.c). */
export function temperature(attribute: SmartAttribute): Told<number> {
  const byte = attribute.raw % 256;
  if (byte === 0x80 || byte === 0xff) return unclear(attribute, 'which says "not measured"');
  const celsius = byte > 0x80 ? byte - 256 : byte;
  return celsius < -60 ? unclear(attribute, 'which is no temperature') : told(celsius);
}
