/**
 * From a raw byte to a figure: y = L((M·x + B·10^K1)·10^K2), where the record of the sensor tells
 * M (`factor`), B (`offset`), K1 and K2 and the curve L (IPMI 2.0, conversion of sensor readings,
 * from memory).
 */
export interface SensorFormula {
  readonly numbers: 'unsigned' | 'ones-complement' | 'twos-complement';
  /** 0 is a straight line. */
  readonly curve: number;
  readonly factor: number;
  readonly offset: number;
  readonly offsetExponent: number;
  readonly resultExponent: number;
}

/** Null where the curve is the maker's own, or where it gives no number. */
export function sensorValue(formula: SensorFormula, raw: number): number | null {
  const curve = curves[formula.curve];
  if (curve === undefined) return null;
  const { factor, offset, offsetExponent, resultExponent } = formula;
  const inner = factor * numberOf(formula, raw) + offset * 10 ** offsetExponent;
  const value = curve(inner * 10 ** resultExponent);
  return Number.isFinite(value) ? Number(value.toPrecision(6)) : null;
}

function numberOf({ numbers }: SensorFormula, raw: number): number {
  if (numbers === 'unsigned' || raw < 0x80) return raw;
  return numbers === 'twos-complement' ? raw - 0x100 : raw - 0xff;
}

/** Curves by their number; 70h and above have factors that differ from reading to reading. */
const curves: readonly ((value: number) => number)[] = [
  (value) => value,
  Math.log,
  Math.log10,
  Math.log2,
  Math.exp,
  (value) => 10 ** value,
  (value) => 2 ** value,
  (value) => 1 / value,
  (value) => value ** 2,
  (value) => value ** 3,
  Math.sqrt,
  Math.cbrt,
];
