import { bit, pageReader } from './bytes.js';

/** What a drive can do and how it is set; null where its words are not valid. */
export interface AtaSettings {
  readonly writeCache: Setting | null;
  readonly readAhead: Setting | null;
  readonly powerLevels: Setting | null;
  /** 1 to 254 while power levels are on, else null. */
  readonly powerLevel: number | null;
  readonly standbyAtPowerOn: Setting | null;
  readonly password: Setting | null;
  readonly trim: boolean | null;
  readonly sanitize: readonly string[] | null;
  readonly zoned: 'no' | 'host-aware' | 'managed by the drive' | null;
  readonly nativeQueue: boolean | null;
}

export type Setting = 'on' | 'off' | 'not there';

type Words = (word: number) => number;

/**
 * Ability and setting words of IDENTIFY DEVICE. Words 82 to 87, 169 and 69: Linux 6.1
 * include/linux/ata.h; 59: Seagate SkyHawk manual p. 29; 128: Toshiba MK6017MAP p. 85; 83 and 86
 * bits 3 and 5, 85 bit 6, word 91: ACS, from memory.
 */
export function decodeAtaSettings(data: Uint8Array): AtaSettings {
  const page = pageReader('IDENTIFY DEVICE', data);
  page.part(0, 512);
  const word: Words = (index) => page.le16(2 * index);
  const powerLevels = pair(word, [83, 86], 3);
  return {
    writeCache: pair(word, [82, 85], 5),
    readAhead: pair(word, [82, 85], 6),
    powerLevels,
    powerLevel: powerLevels === 'on' ? levelOrNull(word(91) & 0xff) : null,
    standbyAtPowerOn: pair(word, [83, 86], 5),
    password: password(word(128)),
    trim: told(word(169)) ? bit(word(169), 0) : null,
    sanitize: sanitize(word(59)),
    zoned: zoned(word(69)),
    nativeQueue: told(word(76)) && word(76) !== 0 ? bit(word(76), 8) : null,
  };
}

/** Words that a drive fills with ones hold nothing. */
function told(word: number): boolean {
  return word !== 0xffff;
}

/** Words 83 and 87 are marked with 01 on top when the words around them are filled in. */
function pair(word: Words, [able, set]: readonly [number, number], index: number): Setting | null {
  const valid = word(83) >>> 14 === 0b01 && word(87) >>> 14 === 0b01;
  if (!valid || !told(word(able)) || !told(word(set))) return null;
  if (!bit(word(able), index)) return 'not there';
  return bit(word(set), index) ? 'on' : 'off';
}

function levelOrNull(level: number): number | null {
  return level >= 1 && level <= 254 ? level : null;
}

function password(word128: number): Setting | null {
  if (!told(word128)) return null;
  if (!bit(word128, 0)) return 'not there';
  return bit(word128, 1) ? 'on' : 'off';
}

const sanitizeWays = [
  [14, 'overwrite'],
  [15, 'block erase'],
  [13, 'change of the key'],
] as const;

function sanitize(word59: number): readonly string[] | null {
  if (!told(word59)) return null;
  if (!bit(word59, 12)) return [];
  return sanitizeWays.filter(([index]) => bit(word59, index)).map(([, words]) => words);
}

function zoned(word69: number): AtaSettings['zoned'] {
  if (!told(word69)) return null;
  return (['no', 'host-aware', 'managed by the drive', null] as const)[word69 & 0b11] ?? null;
}
