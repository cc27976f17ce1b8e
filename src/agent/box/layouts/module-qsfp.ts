import { bit, hex, type PageReader, pageReader } from './bytes.js';
import {
  celsiusLimitOf,
  celsiusOf,
  connectorOf,
  dayOf,
  limitOf,
  type Module,
  type ModuleIdentity,
  type ModuleLane,
  type ModuleLimits,
  microwattsOf,
  milliamperesOf,
  requireSum,
  signed16,
  voltsOf,
} from './module.js';
import { PageError } from './page-error.js';

const record = 'QSFP module';
const identifiers = [0x0c, 0x0d, 0x11];
/** The kernel lays page 03h, where the limits stand, behind the pages 00h, 01h and 02h. */
const limitsFrom = 512;
const limitsBytes = 128;

/**
 * A QSFP module by SFF-8636 (from memory): what it measures in bytes 0 to 127, what it is in bytes
 * 128 to 223 with two sums, limits on page 03h.
 */
export function decodeQsfpModule(data: Uint8Array): Module {
  const page = pageReader(record, data);
  page.part(0, 256);
  if (!identifiers.includes(page.u8(128))) {
    throw new PageError(record, 'identifier 0Ch, 0Dh or 11h in byte 128', hex(page.u8(128)));
  }
  requireSum(page, 128, 191);
  requireSum(page, 192, 223);
  const told = identity(page);
  return { identity: told, figures: figures(page, told) };
}

/** Byte 147: the upper half tells how light is made; from Ah on it is none but copper. */
function isCopper(page: PageReader): boolean {
  return page.u8(147) >>> 4 >= 0xa;
}

function identity(page: PageReader): ModuleIdentity {
  const copperCable = isCopper(page);
  const wavelength = page.be16(186) / 20;
  return {
    form: 'QSFP',
    maker: page.text(148, 16),
    model: page.text(168, 16),
    revision: page.text(184, 2),
    serial: page.text(196, 16),
    madeOn: dayOf(page.text(212, 8)),
    standard: standard(page),
    connector: connectorOf(page.u8(130)),
    copperCable,
    wavelengthNanometres: copperCable || wavelength === 0 ? null : Math.round(wavelength),
  };
}

/** Byte 131 in bits; bit 7 points at a code of its own in byte 192. */
const standards = [
  '40 Gb/s active cable',
  '40GBASE-LR4',
  '40GBASE-SR4',
  '40GBASE-CR4',
  '10GBASE-SR',
  '10GBASE-LR',
  '10GBASE-LRM',
];

const furtherStandards: Readonly<Record<number, string>> = {
  2: '100GBASE-SR4',
  3: '100GBASE-LR4',
  4: '100GBASE-ER4',
  11: '100GBASE-CR4',
};

function standard(page: PageReader): string | null {
  const found = standards.filter((_, index) => bit(page.u8(131), index));
  const further = bit(page.u8(131), 7) ? furtherStandards[page.u8(192)] : undefined;
  const all = further === undefined ? found : [...found, further];
  return all.length === 0 ? null : all.join(', ');
}

/** Byte 2 bit 0: not ready yet, bit 2: one page of memory only. */
function figures(page: PageReader, { copperCable }: ModuleIdentity): Module['figures'] {
  if (bit(page.u8(2), 0)) return { why: 'The module says that its figures are not ready' };
  if (copperCable) return { why: 'A copper cable: it carries no light' };
  if (page.part(22, 36).every((byte) => byte === 0xff)) {
    return { why: 'The module’s figures are all ones, which is none' };
  }
  if (page.part(22, 36).every((byte) => byte === 0)) {
    return { why: 'The module’s figures are all zeros: it measures nothing of itself' };
  }
  return {
    celsius: celsiusOf(signed16(page, 22)),
    volts: voltsOf(page.be16(26)),
    lanes: [0, 1, 2, 3].map((index) => lane(page, index)),
    limits: bit(page.u8(2), 2) ? null : limits(page),
  };
}

/** Byte 220 bit 2: the light sent is measured. Byte 3, lower half: too little light comes in. */
function lane(page: PageReader, index: number): ModuleLane {
  const at = 2 * index;
  return {
    receivedMicrowatts: microwattsOf(page.be16(34 + at)),
    laserMilliamperes: milliamperesOf(page.be16(42 + at)),
    sentMicrowatts: bit(page.u8(220), 2) ? microwattsOf(page.be16(50 + at)) : null,
    signalLost: bit(page.u8(3), index),
  };
}

function limits(page: PageReader): ModuleLimits | null {
  if (page.length < limitsFrom + limitsBytes) return null;
  const own = pageReader(`${record}, limits`, page.part(limitsFrom, limitsBytes));
  return {
    celsiusHighest: celsiusLimitOf(signed16(own, 4)),
    receivedHighest: limitOf(own.be16(52)),
    receivedLowest: limitOf(own.be16(54)),
    sentHighest: limitOf(own.be16(68)),
    sentLowest: limitOf(own.be16(70)),
  };
}
