import { metricInfo } from './metrics.js';
import type { Reading, Unit } from './reading.js';
import { readingStateWords } from './state-words.js';

/** Shown wherever a figure is missing and no state says more. */
export const noFigureWords = 'no figure';

const thinSpace = '\u202f';

/**
 * A number with its digits in groups of three, parted by narrow spaces that do not break, and with
 * at most `decimals` decimal places. Not finite: "no figure". The same on every machine: no locale.
 */
export function formatNumber(value: number | null, decimals = 0): string {
  if (value === null || !Number.isFinite(value)) return noFigureWords;
  const places = Math.min(Math.max(Math.trunc(decimals), 0), 6);
  const fixed = Math.abs(value) < 1e21 ? value.toFixed(places) : String(value);
  const [whole = '', part = ''] = fixed.split('.');
  const grouped = whole.replace(/\B(?=(\d{3})+(?!\d))/g, thinSpace);
  const rest = part.replace(/0+$/, '');
  const text = rest === '' ? grouped : `${grouped}.${rest}`;
  return text === '-0' ? '0' : text;
}

/** Bytes in decimal units as drives are sold: "8 TB", "512.1 GB", "640 B". */
export function formatBytes(bytes: number | null): string {
  return scaled(bytes, [
    [1e15, 'PB'],
    [1e12, 'TB'],
    [1e9, 'GB'],
    [1e6, 'MB'],
    [1e3, 'kB'],
    [1, 'B'],
  ]);
}

/** Bytes per second as copies are spoken of: MB/s, from 1 GB/s on GB/s. */
export function formatBytesPerSecond(bytesPerSecond: number | null): string {
  return scaled(bytesPerSecond, [
    [1e9, 'GB/s'],
    [1e6, 'MB/s'],
    [1e3, 'kB/s'],
    [1, 'B/s'],
  ]);
}

/** Bits per second as links are spoken of: "6 Gb/s", "2.5 Gb/s", "100 Mb/s". */
export function formatBitsPerSecond(bitsPerSecond: number | null): string {
  return scaled(bitsPerSecond, [
    [1e9, 'Gb/s'],
    [1e6, 'Mb/s'],
    [1e3, 'kb/s'],
    [1, 'b/s'],
  ]);
}

/** A time span in its two largest units: "3 d 4 h", "2 h 5 min", "40 s". */
export function formatDuration(seconds: number | null): string {
  if (seconds === null || !Number.isFinite(seconds) || seconds < 0) return noFigureWords;
  const whole = Math.round(seconds);
  const [days, hours] = [Math.floor(whole / 86_400), Math.floor(whole / 3600) % 24];
  const [minutes, rest] = [Math.floor(whole / 60) % 60, whole % 60];
  if (days > 0) return pair([days, 'd'], [hours, 'h']);
  if (hours > 0) return pair([hours, 'h'], [minutes, 'min']);
  return minutes > 0 ? pair([minutes, 'min'], [rest, 's']) : `${rest} s`;
}

/** A moment of the calendar, "2026-11-25 08:45 UTC"; one that no calendar holds is "no figure". */
export function momentWords(unixSeconds: number): string {
  const moment = new Date(unixSeconds * 1000);
  if (Number.isNaN(moment.getTime())) return noFigureWords;
  return `${moment.toISOString().slice(0, 16).replace('T', ' ')} UTC`;
}

const unitWords: Partial<Readonly<Record<Unit, string>>> = {
  hours: 'h',
  minutes: 'min',
  seconds: 's',
  milliseconds: 'ms',
  celsius: '°C',
  lanes: 'lanes',
  'gigatransfers-per-second': 'GT/s',
  percent: '%',
  rpm: 'rpm',
  volts: 'V',
  milliamperes: 'mA',
  watts: 'W',
  microwatts: 'µW',
};

/**
 * A value with its unit, for commands and pages alike. Null and numbers that are not finite are "no
 * figure", never 0. Codes are shown as numbers: their meaning is the reading's `text`.
 */
export function formatValue(value: number | null, unit: Unit): string {
  if (value === null || !Number.isFinite(value)) return noFigureWords;
  if (unit === 'bytes') return formatBytes(value);
  if (unit === 'bytes-per-second') return formatBytesPerSecond(value);
  if (unit === 'bits-per-second') return formatBitsPerSecond(value);
  if (unit === 'unix-seconds') return momentWords(value);
  if (unit === 'lanes' && value === 1) return '1 lane';
  const word = unitWords[unit];
  const number = formatNumber(value, decimalsOf(value, unit));
  return word === undefined ? number : `${number} ${word}`;
}

/** A reading as a person reads it: number and unit, the words of a code, or its state's words. */
export function formatReading(reading: Pick<Reading, 'state' | 'value' | 'unit' | 'text'>): string {
  if (reading.state !== 'measured') return readingStateWords[reading.state];
  if (reading.unit === 'code' && reading.text !== undefined && reading.text !== '') {
    return reading.text;
  }
  return formatValue(reading.value, reading.unit);
}

/** A metric's value in the unit that the metric is kept in. */
export function formatMetric(metric: string, value: number | null): string {
  return formatValue(value, metricInfo(metric).unit);
}

function decimalsOf(value: number, unit: Unit): number {
  if (unit === 'count' || unit === 'sectors' || unit === 'code') return 0;
  if (unit === 'volts') return 2;
  return Math.abs(value) < 100 ? 1 : 0;
}

function scaled(value: number | null, units: readonly (readonly [number, string])[]): string {
  if (value === null || !Number.isFinite(value)) return noFigureWords;
  const size = Math.abs(value);
  // A value that rounds up to the next unit is shown in that unit: 999.96 MB is 1 GB.
  const [factor, name] = units.find(([one]) => size >= one * 0.9995) ?? [
    1,
    units.at(-1)?.[1] ?? '',
  ];
  const amount = value / factor;
  return `${formatNumber(amount, Math.abs(amount) < 100 ? 2 : 1)} ${name}`;
}

function pair(first: readonly [number, string], second: readonly [number, string]): string {
  const [large, small] = [`${first[0]} ${first[1]}`, `${second[0]} ${second[1]}`];
  return second[0] === 0 ? large : `${large} ${small}`;
}
