import { bit, type PageReader, pageReader } from './bytes.js';
import {
  celsiusLimitOf,
  celsiusOf,
  connectorOf,
  dayOf,
  hasSum,
  limitOf,
  type Module,
  type ModuleFigures,
  type ModuleIdentity,
  type ModuleLimits,
  microwattsOf,
  milliamperesOf,
  requireSum,
  signed16,
  voltsOf,
} from './module.js';
import { calibrationOf } from './module-sfp-calibration.js';
import { PageError } from './page-error.js';

const record = 'SFP module';
/** Two addresses of 256 bytes: identity (A0h), then what the module measures (A2h). */
const measuredFrom = 256;

/**
 * An SFP module by SFF-8472 (from memory): identity in bytes 0 to 94 with two sums, then, where
 * byte 92 bit 6 is set, what it measures of itself.
 */
export function decodeSfpModule(data: Uint8Array): Module {
  const page = pageReader(record, data);
  page.part(0, 96);
  if (page.u8(0) !== 0x03 && page.u8(0) !== 0x0b) {
    throw new PageError(record, 'identifier 03h or 0Bh in byte 0', `${page.u8(0)}`);
  }
  requireSum(page, 0, 63);
  requireSum(page, 64, 95);
  return { identity: identity(page), figures: figures(page) };
}

function identity(page: PageReader): ModuleIdentity {
  const copperCable = (page.u8(8) & 0x0c) !== 0;
  const wavelength = page.be16(60);
  return {
    form: 'SFP',
    maker: page.text(20, 16),
    model: page.text(40, 16),
    revision: page.text(56, 4),
    serial: page.text(68, 16),
    madeOn: dayOf(page.text(84, 8)),
    standard: standard(page),
    connector: connectorOf(page.u8(2)),
    copperCable,
    wavelengthNanometres: copperCable || wavelength === 0 ? null : wavelength,
  };
}

/** Bits of bytes 3 (10 Gb/s), 6 (1 Gb/s) and 8 (cables). */
const standards: readonly (readonly [number, number, string])[] = [
  [3, 4, '10GBASE-SR'],
  [3, 5, '10GBASE-LR'],
  [3, 6, '10GBASE-LRM'],
  [3, 7, '10GBASE-ER'],
  [6, 0, '1000BASE-SX'],
  [6, 1, '1000BASE-LX'],
  [6, 2, '1000BASE-CX'],
  [6, 3, '1000BASE-T'],
  [8, 2, 'passive copper cable'],
  [8, 3, 'active copper cable'],
];

function standard(page: PageReader): string | null {
  const found = standards.filter(([byte, index]) => bit(page.u8(byte), index));
  return found.length === 0 ? null : found.map(([, , name]) => name).join(', ');
}

/** Byte 92: bit 6 measures, bit 5 in plain figures, bit 4 in figures still to be worked out. */
function figures(page: PageReader): Module['figures'] {
  const kind = page.u8(92);
  if (!bit(kind, 6)) return { why: 'The module measures nothing of itself' };
  if (bit(kind, 2)) {
    return { why: 'The module has to be switched to its figures, which is not done from here' };
  }
  if (page.length < measuredFrom + 128) {
    return { why: 'The card’s driver reads only the first half of the module' };
  }
  const measured = pageReader(`${record}, figures`, page.part(measuredFrom, 128));
  if (measured.part(96, 10).every((byte) => byte === 0xff)) {
    return { why: 'The module’s figures are all ones, which is none' };
  }
  if (bit(measured.u8(110), 0)) return { why: 'The module says that its figures are not ready' };
  const plain = bit(kind, 5);
  if (plain === bit(kind, 4)) return { why: 'How its figures are meant is not known' };
  return plain ? plainFigures(measured) : workedOutFigures(measured);
}

/** Byte 110 bit 1: the light that comes in is too little. */
function plainFigures(page: PageReader): ModuleFigures {
  return {
    celsius: celsiusOf(signed16(page, 96)),
    volts: voltsOf(page.be16(98)),
    lanes: [
      {
        laserMilliamperes: milliamperesOf(page.be16(100)),
        sentMicrowatts: microwattsOf(page.be16(102)),
        receivedMicrowatts: microwattsOf(page.be16(104)),
        signalLost: bit(page.u8(110), 1),
      },
    ],
    limits: limits(page),
  };
}

/**
 * Limits are told only for modules with plain figures: whether the others mean them before or after
 * the working out is not known to us. Byte 95 holds the sum of what the maker wrote.
 */
function limits(page: PageReader): ModuleLimits | null {
  if (!hasSum(page, 0, 95)) return null;
  return {
    celsiusHighest: celsiusLimitOf(signed16(page, 4)),
    sentHighest: limitOf(page.be16(28)),
    sentLowest: limitOf(page.be16(30)),
    receivedHighest: limitOf(page.be16(36)),
    receivedLowest: limitOf(page.be16(38)),
  };
}

/** Slopes, offsets and a polynomial that the maker wrote beside the figures, under one sum. */
function workedOutFigures(page: PageReader): Module['figures'] {
  const by = hasSum(page, 0, 95) ? calibrationOf(page) : null;
  if (by === null) return { why: 'The constants for working out its figures are damaged' };
  return {
    celsius: celsiusOf(by.temperature(signed16(page, 96))),
    volts: voltsOf(by.voltage(page.be16(98))),
    lanes: [
      {
        laserMilliamperes: milliamperesOf(by.laser(page.be16(100))),
        sentMicrowatts: microwattsOf(by.sent(page.be16(102))),
        receivedMicrowatts: microwattsOf(by.received(page.be16(104))),
        signalLost: bit(page.u8(110), 1),
      },
    ],
    limits: null,
  };
}
