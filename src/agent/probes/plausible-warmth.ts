import { absent, type Reading } from '../../checks/reading.js';

/**
 * Nothing that still answers is colder or warmer. A damaged page may say so all the same, since
 * most records of warmth carry no checksum. Common practice, no source.
 */
const celsiusPlausible = { above: -40, below: 127 };

/** A warmth that no drive can have is no figure, and says what the record gave. Pure. */
export function plausibleWarmth(reading: Reading): Reading {
  const { value, unit, metric, source, place } = reading;
  if (unit !== 'celsius' || value === null) return reading;
  if (value > celsiusPlausible.above && value < celsiusPlausible.below) return reading;
  const figure = { metric, unit, source, ...(place === undefined ? {} : { place }) };
  return absent(figure, 'no-figure', `The record gives ${value} °C, which no drive has`);
}
