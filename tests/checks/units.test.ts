import { describe, expect, it } from 'vitest';
import { metricInfo, metrics, metricTitle } from '../../src/checks/metrics.js';
import {
  formatBitsPerSecond,
  formatBytes,
  formatBytesPerSecond,
  formatDuration,
  formatMetric,
  formatNumber,
  formatReading,
  formatValue,
} from '../../src/checks/units.js';

const thin = '\u202f';

describe('numbers with units', () => {
  it.each([
    [0, '0 B'],
    [999, '999 B'],
    [1000, '1 kB'],
    [500_107_862_016, '500.1 GB'],
    [8_001_563_222_016, '8 TB'],
    [12_345_678_901_234, '12.35 TB'],
    [999_960_000, '1 GB'],
    [Number.NaN, 'no figure'],
    [Number.POSITIVE_INFINITY, 'no figure'],
    [null, 'no figure'],
  ])('%d bytes: %s', (bytes, text) => {
    expect(formatBytes(bytes)).toBe(text);
  });

  it.each([
    [210e6, '210 MB/s'],
    [1.2345e9, '1.23 GB/s'],
    [0, '0 B/s'],
  ])('%d bytes per second: %s', (rate, text) => {
    expect(formatBytesPerSecond(rate)).toBe(text);
  });

  it.each([
    [6e9, '6 Gb/s'],
    [2.5e9, '2.5 Gb/s'],
    [100e6, '100 Mb/s'],
  ])('%d bits per second: %s', (rate, text) => {
    expect(formatBitsPerSecond(rate)).toBe(text);
  });

  it.each([
    [0, 0, '0'],
    [-0.2, 0, '0'],
    [1234567, 0, `1${thin}234${thin}567`],
    [-1234.5, 1, `-1${thin}234.5`],
    [12.3456, 2, '12.35'],
    [12, 2, '12'],
    [null, 0, 'no figure'],
  ])('number %d with %d decimals: %s', (value, decimals, text) => {
    expect(formatNumber(value, decimals)).toBe(text);
  });

  it.each([
    [0, '0 s'],
    [59.6, '1 min'],
    [3600, '1 h'],
    [7500, '2 h 5 min'],
    [273_600, '3 d 4 h'],
    [-1, 'no figure'],
    [Number.NaN, 'no figure'],
  ])('%d seconds: %s', (seconds, text) => {
    expect(formatDuration(seconds)).toBe(text);
  });

  it('writes each unit', () => {
    expect(formatValue(41.26, 'celsius')).toBe('41.3 °C');
    expect(formatValue(12_345, 'hours')).toBe(`12${thin}345 h`);
    expect(formatValue(1, 'lanes')).toBe('1 lane');
    expect(formatValue(8, 'lanes')).toBe('8 lanes');
    expect(formatValue(12.05, 'volts')).toBe('12.05 V');
    expect(formatValue(16, 'sectors')).toBe('16');
    expect(formatValue(null, 'percent')).toBe('no figure');
    expect(formatMetric('temperature', 40)).toBe('40 °C');
  });

  it('says the state instead of a number that is not there', () => {
    const unit = 'celsius' as const;
    expect(formatReading({ state: 'asleep', value: null, unit })).toBe('asleep');
    expect(formatReading({ state: 'no-figure', value: null, unit })).toBe('no figure');
    expect(formatReading({ state: 'not-visible', value: null, unit })).toBe('not visible');
    expect(formatReading({ state: 'measured', value: 40, unit })).toBe('40 °C');
    const code = { state: 'measured', value: 0, unit: 'code' } as const;
    expect(formatReading({ ...code, text: 'not failing' })).toBe('not failing');
    expect(formatReading(code)).toBe('0');
  });
});

describe('metrics', () => {
  it('names a known metric with the number that the trade knows it by', () => {
    expect(metricTitle('reallocated-sectors')).toBe('Reallocated sectors (5)');
    expect(metricTitle('interface-crc-errors')).toBe('Interface CRC errors (199)');
    expect(metricTitle('emergency-head-parks')).toBe('Emergency head parks (192)');
    expect(metricTitle('grown-defects')).toBe('Grown defects');
  });

  it('is neutral about an unknown one', () => {
    expect(metricInfo('flux-drift')).toEqual({
      metric: 'flux-drift',
      label: 'Flux drift',
      unit: 'count',
      kind: 'gauge',
      damage: false,
    });
    expect(metricInfo('').label).toBe('Unnamed figure');
    expect(metricInfo('constructor').damage).toBe(false);
  });

  it('knows each metric once, and damage has a cause', () => {
    expect(new Set(metrics.map(({ metric }) => metric)).size).toBe(metrics.length);
    for (const { damage, damageCause } of metrics) expect(damage).toBe(damageCause !== undefined);
  });
});
