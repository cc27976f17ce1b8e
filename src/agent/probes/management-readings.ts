import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import type { SensorAnswer } from '../box/layouts/ipmi-sensor.js';
import type { SensorRecord } from '../box/layouts/ipmi-sensor-list.js';
import { sensorValue } from '../box/layouts/ipmi-values.js';
import type { SensorTold } from './management-sensors.js';
import { stateWords } from './management-states.js';

/** What an input without a sensor shows lies outside. Common practice, no source. */
const celsiusPlausible = { above: -40, below: 150 };

const sensorTypes = { fan: 0x04, supply: 0x08 } as const;
const comparesWithLimits = 0x01;

/** What no part of a box shows, by unit: a formula that is wrong for its sensor. Our bounds. */
const plausible: Partial<Readonly<Record<Figure['unit'], readonly [number, number]>>> = {
  celsius: [celsiusPlausible.above, celsiusPlausible.below],
  rpm: [0, 100_000],
  watts: [0, 100_000],
  volts: [-1000, 1000],
  milliamperes: [0, 1_000_000],
  percent: [0, 100],
};

interface Measure {
  readonly metric: string;
  readonly unit: Figure['unit'];
  readonly from: (value: number) => number;
}

const same = (value: number): number => value;
const tenth = (value: number): number => Math.round(value * 10) / 10;

/** Units by their number in the specification's list, those that are read here; from memory. */
const measures: Readonly<Record<number, Measure>> = {
  1: { metric: 'temperature', unit: 'celsius', from: tenth },
  2: { metric: 'temperature', unit: 'celsius', from: (value) => tenth(((value - 32) * 5) / 9) },
  3: { metric: 'temperature', unit: 'celsius', from: (value) => tenth(value - 273.15) },
  4: { metric: 'voltage', unit: 'volts', from: same },
  5: { metric: 'electric-current', unit: 'milliamperes', from: (value) => value * 1000 },
  6: { metric: 'power-draw', unit: 'watts', from: same },
  18: { metric: 'fan-speed', unit: 'rpm', from: same },
};

const fanShare: Measure = { metric: 'fan-drive', unit: 'percent', from: same };

/** Readings of one sensor: its figure or its states, and the limit that matters. Pure. */
export function managementReadings({ sensor, answer }: SensorTold): readonly Reading[] {
  const measure = measureOf(sensor);
  const figure = figureOf(sensor, measure);
  if (!answer.ok) return [absent(figure, 'no-figure', answer.absence.text)];
  const missing = missingWhy(answer.value);
  if (missing !== null) return [absent(figure, 'no-figure', missing)];
  if (sensor.formula === null || sensor.eventType !== comparesWithLimits) {
    return [stateReading(figure, sensor, answer.value)];
  }
  if (measure === null) return [absent(figure, 'no-figure', notReadWhy)];
  return [
    valueReading(figure, { sensor, measure }, answer.value),
    ...limitReading(sensor, measure),
  ];
}

const notReadWhy = 'The sensor measures in a unit that is not read here';

function measureOf({ formula, unit, sensorType, eventType }: SensorRecord): Measure | null {
  if (formula === null || eventType !== comparesWithLimits) return null;
  if (unit.percent) return sensorType === sensorTypes.fan ? fanShare : null;
  return unit.base === null ? null : (measures[unit.base] ?? null);
}

function figureOf(sensor: SensorRecord, measure: Measure | null): Figure {
  const { metric, unit } = measure ?? {
    metric: sensor.sensorType === sensorTypes.supply ? 'supply-state' : 'sensor-state',
    unit: 'code',
  };
  const source = `Management controller, sensor ${sensor.number}`;
  return { metric, unit, source, place: sensor.name };
}

function missingWhy({ scanned, valid }: SensorAnswer): string | null {
  if (!scanned) return 'The controller does not look at this sensor';
  return valid ? null : 'The controller has no reading of it: what it measures is off or absent';
}

function stateReading(figure: Figure, sensor: SensorRecord, { states }: SensorAnswer): Reading {
  const found = stateWords(sensor, states);
  return measured(figure, states, found);
}

function valueReading(
  figure: Figure,
  { sensor, measure }: { readonly sensor: SensorRecord; readonly measure: Measure },
  { raw, states }: SensorAnswer,
): Reading {
  const found = sensor.formula === null ? null : sensorValue(sensor.formula, raw);
  if (found === null) return absent(figure, 'no-figure', 'Its raw reading gives no number');
  const value = measure.from(found);
  const isWarmth = measure.metric === 'temperature';
  if (isWarmth && (value <= celsiusPlausible.above || value >= celsiusPlausible.below)) {
    const why = `It shows ${value} °C, as inputs without a sensor do, and those that tell a distance to a limit`;
    return absent(figure, 'no-figure', why);
  }
  if (!isPlausible(measure, value)) {
    const why = `It shows ${value}, which no part of a box does: its formula does not fit it`;
    return absent(figure, 'no-figure', why);
  }
  return measured(figure, value, passedWords(states));
}

function isPlausible({ unit }: Measure, value: number): boolean {
  const [least, most] = plausible[unit] ?? [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  return value >= least && value <= most;
}

const passedInOrder: readonly (readonly [number, string])[] = [
  [2, 'below the limit that may harm'],
  [5, 'above the limit that may harm'],
  [1, 'below its critical limit'],
  [4, 'above its critical limit'],
  [0, 'below its lower limit'],
  [3, 'above its upper limit'],
];

/** What the controller itself says of the figure, the worst alone. */
function passedWords(states: number): string | undefined {
  const passed = passedInOrder.find(([bit]) => ((states >> bit) & 1) === 1);
  return passed === undefined ? undefined : `${passed[1]}, says the controller`;
}

/** A raw byte of the sensor as a figure of its metric, where both are known. */
export function rawFigure(
  sensor: SensorRecord,
  raw: number,
): { readonly metric: string; readonly value: number } | null {
  const measure = measureOf(sensor);
  const found = sensor.formula === null ? null : sensorValue(sensor.formula, raw);
  if (measure === null || found === null) return null;
  return { metric: measure.metric, value: measure.from(found) };
}

/** For warmth the lowest upper limit, for a fan the highest lower one; others tell their own. */
function limitReading(sensor: SensorRecord, measure: Measure): readonly Reading[] {
  const { limits } = sensor;
  const raw =
    measure.metric === 'temperature'
      ? (limits.upper ?? limits.upperCritical)
      : measure.metric === 'fan-speed'
        ? (limits.lower ?? limits.lowerCritical)
        : null;
  const value = raw === null ? 0 : (rawFigure(sensor, raw)?.value ?? 0);
  if (value <= 0 || !isPlausible(measure, value)) return [];
  const metric = `${measure.metric}-limit`;
  const source = `Management controller, limits of sensor ${sensor.number}`;
  return [measured({ metric, unit: measure.unit, place: sensor.name, source }, value)];
}
