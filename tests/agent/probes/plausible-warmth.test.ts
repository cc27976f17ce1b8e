import { expect, test } from 'vitest';
import { nvmeLog } from '../../../src/agent/box/layouts/commands-nvme.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import { plausibleWarmth } from '../../../src/agent/probes/plausible-warmth.js';
import { measured } from '../../../src/checks/reading.js';

const warmth = { metric: 'temperature', unit: 'celsius', source: 'NVMe health log 02h' } as const;

test.each([-39, 0, 34, 126])('%i degrees may be', (celsius) => {
  const reading = measured(warmth, celsius);
  expect(plausibleWarmth(reading)).toBe(reading);
});

test.each([-222, -40, 127, 65_058])('%i degrees are no figure', (celsius) => {
  expect(plausibleWarmth(measured(warmth, celsius))).toEqual({
    ...warmth,
    state: 'no-figure',
    value: null,
    why: `The record gives ${celsius} °C, which no drive has`,
  });
});

test('other figures may be as large as they are', () => {
  const hours = { metric: 'power-on-hours', unit: 'hours', source: 'ATA SMART data' } as const;
  expect(plausibleWarmth(measured(hours, 65_058)).value).toBe(65_058);
});

test('a health log whose temperature was damaged gives none', () => {
  const data = new Uint8Array(nvmeLog(0x02, 512).transferBytes);
  // Bytes 1 and 2: whole kelvins. FFE3h would be 65 232 degrees.
  data.set([0xe3, 0xff], 1);
  const page = { record: 'nvme-log', log: 2, data } as const;
  const { readings } = interpret({ taken: '2026-01-01', commandSet: 'nvme', pages: [page] });
  const found = readings.filter(({ metric }) => metric === 'temperature');
  expect(found).toMatchObject([{ state: 'no-figure', value: null }]);
  expect(found[0]?.why).toContain('°C, which no drive has');
});
