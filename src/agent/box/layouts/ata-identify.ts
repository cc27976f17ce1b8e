import { bit, hexDigits, type PageReader, pageReader, requireZeroSum } from './bytes.js';
import { PageError } from './page-error.js';

/** IDENTIFY DEVICE (ECh): 256 little-endian words. Word numbers as in ACS, from memory. */
export interface AtaIdentify {
  readonly model: string;
  readonly serial: string;
  readonly firmware: string;
  readonly worldWideName: string | null;
  readonly sectors: bigint;
  readonly logicalBlockBytes: number;
  readonly physicalBlockBytes: number;
  readonly rotation: 'not-told' | 'solid-state' | number;
  /** Link speeds in bits per second; null where the drive does not tell. */
  readonly linkSpeedPossible: number | null;
  readonly linkSpeedRunning: number | null;
  readonly smartSupported: boolean;
  readonly smartEnabled: boolean;
  readonly selfTestSupported: boolean;
  readonly generalLogs: boolean;
  readonly sct: AtaSctAbilities;
  readonly security: AtaSecurity;
  readonly checksumPresent: boolean;
}

export interface AtaSctAbilities {
  readonly supported: boolean;
  readonly errorRecoveryControl: boolean;
  readonly dataTables: boolean;
}

export interface AtaSecurity {
  readonly supported: boolean;
  readonly enabled: boolean;
  readonly locked: boolean;
  readonly frozen: boolean;
}

type Words = (word: number) => number;

const record = 'IDENTIFY DEVICE';

export function decodeAtaIdentify(data: Uint8Array): AtaIdentify {
  const page = pageReader(record, data);
  const word: Words = (index) => page.le16(index * 2);
  const checksumPresent = requireWholePage(page);
  const logicalBlockBytes = logicalBytes(word);
  return {
    serial: wordText(page, 10, 10),
    firmware: wordText(page, 23, 4),
    model: wordText(page, 27, 20),
    worldWideName: worldWideName(page, word),
    sectors: sectors(page, word),
    logicalBlockBytes,
    physicalBlockBytes: logicalBlockBytes * sectorsPerPhysical(word(106)),
    rotation: rotation(word(217)),
    linkSpeedPossible: speedPossible(word(76)),
    linkSpeedRunning: speedRunning(word(76), word(77)),
    smartSupported: setPresent(word(83)) && bit(word(82), 0),
    smartEnabled: setPresent(word(87)) && bit(word(85), 0),
    selfTestSupported: setPresent(word(84)) && bit(word(84), 1),
    generalLogs: bothSet(word(84), word(87), 5),
    sct: sctAbilities(word(206)),
    security: security(word(128)),
    checksumPresent,
  };
}

/** Word 255: byte 510 = A5h says that byte 511 completes a checksum; else there is none. */
function requireWholePage(page: PageReader): boolean {
  const bytes = page.part(0, 512);
  const first = bytes[0];
  if ((first === 0 || first === 0xff) && bytes.every((byte) => byte === first)) {
    throw new PageError(record, 'an identity', `512 equal bytes of ${first}`);
  }
  if (bit(page.le16(0), 15)) {
    throw new PageError(record, 'a disk (word 0 bit 15 = 0)', 'another kind of ATA device');
  }
  const present = page.u8(510) === 0xa5;
  if (present) requireZeroSum(page);
  return present;
}

// In each word the high byte is the first character (Linux 6.1 libata-core.c ata_id_string).
function wordText(page: PageReader, firstWord: number, words: number): string {
  const swapped = page.part(firstWord * 2, words * 2).slice();
  for (let index = 0; index + 1 < swapped.length; index += 2) {
    swapped.subarray(index, index + 2).reverse();
  }
  return pageReader(record, swapped).text(0, swapped.length);
}

function setPresent(word: number): boolean {
  return word >>> 14 === 0b01;
}

function bothSet(supported: number, enabled: number, index: number): boolean {
  const valid = setPresent(supported) && setPresent(enabled);
  return valid && bit(supported, index) && bit(enabled, index);
}

// Words 108-111, most significant word first; valid by word 87 (Linux 6.1 ata_id_has_wwn).
function worldWideName(page: PageReader, word: Words): string | null {
  if ((word(87) & 0xc100) !== 0x4100) return null;
  const bytes = Uint8Array.from(
    [108, 109, 110, 111].flatMap((w) => [word(w) >>> 8, word(w) & 0xff]),
  );
  return page.part(216, 8).every((byte) => byte === 0) ? null : hexDigits(bytes);
}

function sectors(page: PageReader, word: Words): bigint {
  const wide = setPresent(word(83)) && bit(word(83), 10);
  return wide ? page.le64(200) : BigInt(page.le32(120));
}

/** Words 106, 117 and 118; word 117 counts 16-bit words (Linux 6.1 ata_id_logical_sector_size). */
function logicalBytes(word: Words): number {
  if (!setPresent(word(106)) || !bit(word(106), 12)) return 512;
  const bytes = (word(118) * 65_536 + word(117)) * 2;
  if (bytes < 512 || bytes > 65_536) {
    throw new PageError(record, 'a logical sector of 512 to 65536 bytes', `${bytes}`);
  }
  return bytes;
}

function sectorsPerPhysical(word106: number): number {
  return setPresent(word106) && bit(word106, 13) ? 2 ** (word106 & 0xf) : 1;
}

// Word 217: 0001h solid state, 0401h to FFFEh revolutions a minute, the rest tells nothing.
function rotation(word217: number): AtaIdentify['rotation'] {
  if (word217 === 1) return 'solid-state';
  return word217 > 0x400 && word217 < 0xffff ? word217 : 'not-told';
}

const speeds = [null, 1_500_000_000, 3_000_000_000, 6_000_000_000] as const;

// Word 76 bits 1 to 3 are the speeds that the drive can run; 0000h and FFFFh: not SATA.
function speedPossible(word76: number): number | null {
  if (word76 === 0xffff) return null;
  const highest = [3, 2, 1].find((index) => bit(word76, index));
  return speeds[highest ?? 0] ?? null;
}

function speedRunning(word76: number, word77: number): number | null {
  if (word76 === 0 || word76 === 0xffff || word77 === 0xffff) return null;
  return speeds[(word77 >>> 1) & 0b111] ?? null;
}

function sctAbilities(word206: number): AtaSctAbilities {
  const supported = word206 !== 0xffff && bit(word206, 0);
  return {
    supported,
    errorRecoveryControl: supported && bit(word206, 3),
    dataTables: supported && bit(word206, 5),
  };
}

function security(word128: number): AtaSecurity {
  const supported = word128 !== 0xffff && bit(word128, 0);
  return {
    supported,
    enabled: supported && bit(word128, 1),
    locked: supported && bit(word128, 2),
    frozen: supported && bit(word128, 3),
  };
}
