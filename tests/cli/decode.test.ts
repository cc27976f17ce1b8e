import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { UserError } from '../../src/checks/user-error.js';
import { decodeCommand } from '../../src/cli/decode.js';

const folder = new URL('../captures/', import.meta.url);

function decoded(name: string, json: boolean): readonly string[] {
  const lines: string[] = [];
  const code = decodeCommand({
    file: `${name}.json`,
    json,
    read: (path) => readFileSync(new URL(path, folder), 'utf8'),
    print: (line) => lines.push(line),
  });
  expect(code).toBe(0);
  return lines;
}

describe('decode --json', () => {
  test('one line, one object with the four parts that are promised', () => {
    const [line, ...more] = decoded('healthy-disk', true);
    expect(more).toEqual([]);
    const value = JSON.parse(line ?? '');
    expect(Object.keys(value).sort()).toEqual(['hourCounters', 'identity', 'readings', 'remarks']);
    expect(value.readings.find((one: { metric: string }) => one.metric === 'temperature')).toEqual({
      metric: 'temperature',
      unit: 'celsius',
      source: 'Device Statistics page 5, current temperature',
      value: 31,
      state: 'measured',
    });
    expect(value.identity.rotationRpm).toBe(7200);
  });

  test('each reading has a value or a reason, and never a kernel letter', () => {
    for (const name of ['usb-bridge', 'standby', 'nvme-odd-counters', 'sas-disk']) {
      for (const reading of JSON.parse(decoded(name, true)[0] ?? '').readings) {
        expect(reading.value === null).toBe(reading.state !== 'measured');
        expect(typeof reading.why === 'string').toBe(reading.value === null);
        expect(reading.source).not.toBe('');
      }
    }
  });
});

describe('decode in plain words', () => {
  test('figures are grouped by subject, with unit and source', () => {
    const text = decoded('pending-sectors', false);
    expect(text).toContain('Signs of damage:');
    expect(text).toContain('  Pending sectors (197): 8, from attribute 197, raw value.');
    expect(text).toContain('  Temperature (194): 38 °C, from attribute 194, first raw byte.');
    expect(text).toContain(
      '  Data read: no figure. Not asked: the drive does not list Device Statistics.',
    );
    expect(text.indexOf('Signs of damage:')).toBeLessThan(text.indexOf('Age and use:'));
  });

  test('states are told in words', () => {
    const asleep = decoded('standby', false).filter((line) => line.includes('Temperature (194)'));
    expect(asleep).toEqual(['  Temperature (194): asleep. The drive sleeps and was not woken.']);
    const hidden = decoded('usb-bridge', false).join('\n');
    expect(hidden).toContain('Reallocated sectors (5): not visible.');
    expect(hidden).toContain('Remarks:');
  });
});

test('bad input goes out as an error for a person', () => {
  const run = () =>
    decodeCommand({ file: 'x', json: false, read: () => 'rubbish', print: () => undefined });
  expect(run).toThrow(UserError);
  expect(run).toThrow('it is not JSON');
});
