import { type PageReader, pageReader } from './bytes.js';
import { sensorName } from './ipmi-names.js';
import type { SensorFormula } from './ipmi-values.js';

/**
 * Records of a controller's list of sensors (IPMI 2.0, Sensor Data Record formats, full record 01h
 * and compact record 02h, from memory; QEMU 7.2 keeps such a list). Offsets count from the first
 * byte of the record.
 */
export interface SensorRecord {
  /** Address of the controller that owns the sensor: 20h is the one that is asked. */
  readonly owner: number;
  /** Unit within the controller. */
  readonly unitOfOwner: number;
  readonly number: number;
  readonly name: string;
  readonly sensorType: number;
  /** 01h compares with limits, 6Fh has states of its own type, others have general states. */
  readonly eventType: number;
  /** Null for sensors that tell states only. */
  readonly formula: SensorFormula | null;
  readonly unit: SensorUnit;
  /** Raw limits that the sensor lets be read. */
  readonly limits: SensorLimits;
}

export interface SensorUnit {
  readonly percent: boolean;
  /** Number in the specification's list of units, null where it is made of several. */
  readonly base: number | null;
}

/** Each raw, null where there is none. */
export interface SensorLimits {
  readonly lower: number | null;
  readonly lowerCritical: number | null;
  readonly upper: number | null;
  readonly upperCritical: number | null;
}

const headBytes = 5;
const fullType = 0x01;
const compactType = 0x02;

/** Bytes of the whole record, from its first five. */
export function decodeRecordLength(data: Uint8Array): number {
  return headBytes + pageReader('Record of the sensor list', data).u8(4);
}

/**
 * The sensors of one record: one, several alike that share a compact record, or none where the
 * record describes something else.
 */
export function decodeSensorRecord(data: Uint8Array): readonly SensorRecord[] {
  const page = pageReader('Record of the sensor list', data);
  page.part(0, headBytes + page.u8(4));
  const type = page.u8(3);
  if (type === fullType) return [fullRecord(page)];
  return type === compactType ? compactRecords(page) : [];
}

function fullRecord(page: PageReader): SensorRecord {
  const common = commonOf(page);
  return {
    ...common,
    name: sensorName(page, 47) ?? numberedName(common.number),
    formula: formulaOf(page),
    limits: limitsOf(page),
  };
}

function compactRecords(page: PageReader): readonly SensorRecord[] {
  const common = commonOf(page);
  const name = sensorName(page, 31);
  const count = Math.max(1, page.u8(23) & 0x0f);
  const isLettered = (page.u8(23) & 0x30) === 0x10;
  const first = page.u8(24) & 0x7f;
  return Array.from({ length: count }, (_, index) => {
    const number = (common.number + index) & 0xff;
    const suffix = isLettered ? lettersOf(first + index) : `${first + index}`;
    const own = count === 1 ? (name ?? '') : `${name ?? ''}${suffix}`;
    return {
      ...common,
      number,
      name: name === null ? numberedName(number) : own,
      formula: null,
      limits: noLimits,
    };
  });
}

function commonOf(page: PageReader) {
  return {
    owner: page.u8(5),
    unitOfOwner: page.u8(6) & 0x03,
    number: page.u8(7),
    sensorType: page.u8(12),
    eventType: page.u8(13) & 0x7f,
    unit: unitOf(page),
  };
}

/** Units with a rate or with a second unit are no unit of ours. */
function unitOf(page: PageReader): SensorUnit {
  const flags = page.u8(20);
  const isPlain = (flags & 0x3e) === 0;
  return { percent: (flags & 0x01) !== 0, base: isPlain ? page.u8(21) : null };
}

function formulaOf(page: PageReader): SensorFormula | null {
  const numbers = (['unsigned', 'ones-complement', 'twos-complement'] as const)[page.u8(20) >> 6];
  if (numbers === undefined) return null;
  const exponents = page.u8(29);
  return {
    numbers,
    curve: page.u8(23) & 0x7f,
    factor: signed(page.u8(24) + (page.u8(25) >> 6) * 256, 10),
    offset: signed(page.u8(26) + (page.u8(27) >> 6) * 256, 10),
    offsetExponent: signed(exponents & 0x0f, 4),
    resultExponent: signed(exponents >> 4, 4),
  };
}

const noLimits: SensorLimits = {
  lower: null,
  lowerCritical: null,
  upper: null,
  upperCritical: null,
};

/** The low byte of the mask tells which limits can be read; only then do they count. */
function limitsOf(page: PageReader): SensorLimits {
  const access = (page.u8(11) >> 2) & 0x03;
  if (access === 0 || access === 3) return noLimits;
  const mask = page.u8(18);
  const limit = (bit: number, offset: number) => ((mask >> bit) & 1 ? page.u8(offset) : null);
  return {
    lower: limit(0, 41),
    lowerCritical: limit(1, 40),
    upper: limit(3, 38),
    upperCritical: limit(4, 37),
  };
}

function signed(value: number, bits: number): number {
  return value >= 2 ** (bits - 1) ? value - 2 ** bits : value;
}

function numberedName(number: number): string {
  return `sensor ${number}`;
}

function lettersOf(index: number): string {
  const letter = String.fromCharCode(65 + (index % 26));
  return index < 26 ? letter : `${String.fromCharCode(64 + Math.floor(index / 26))}${letter}`;
}
