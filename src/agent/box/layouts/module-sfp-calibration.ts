import type { PageReader } from './bytes.js';
import { signed16 } from './module.js';

type Steps = (counted: number) => number;

/** From what the module counted to the steps that plain figures are told in. */
export interface Calibration {
  readonly temperature: Steps;
  readonly voltage: Steps;
  readonly laser: Steps;
  readonly sent: Steps;
  readonly received: Steps;
}

/**
 * Constants in bytes 56 to 91 of the measured half: five floats for the light received, highest
 * power first, then a slope in 256ths and an offset for each other figure; null where a float is no
 * number. SFF-8472, from memory.
 */
export function calibrationOf(page: PageReader): Calibration | null {
  const powers = [72, 68, 64, 60, 56].map((offset) => float(page, offset));
  if (!powers.every(Number.isFinite)) return null;
  return {
    laser: line(page, 76),
    sent: line(page, 80),
    temperature: line(page, 84),
    voltage: line(page, 88),
    received: (counted) =>
      noLess(powers.reduce((sum, factor, power) => sum + factor * counted ** power, 0)),
  };
}

/** Temperatures go below zero, so that the sign is kept; what cannot, is cut by its own bounds. */
function line(page: PageReader, offset: number): Steps {
  const slope = page.be16(offset) / 256;
  const shift = signed16(page, offset + 2);
  return (counted) => slope * counted + shift;
}

function float(page: PageReader, offset: number): number {
  const bytes = Uint8Array.from(page.part(offset, 4));
  return new DataView(bytes.buffer).getFloat32(0, false);
}

/** The polynomial may fall below darkness by its last digits. */
function noLess(steps: number): number {
  return Math.max(0, steps);
}
