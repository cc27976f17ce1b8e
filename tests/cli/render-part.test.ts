/** `status PART`: every figure of one part by subject, with growth, age and source. */
import { describe, expect, test } from 'vitest';
import type { StatusFigure, StatusPart, StatusReport } from '../../src/checks/status-report.js';
import { partMeant, renderPart } from '../../src/cli/render-part.js';

function figure(metric: string, own: Partial<StatusFigure>): StatusFigure {
  return {
    metric,
    place: '',
    value: 0,
    unit: 'count',
    state: 'measured',
    source: 'SMART data',
    text: '',
    ageMs: 12 * 60_000,
    firstValue: null,
    firstWallMs: null,
    ...own,
  };
}

const firstWallMs = Date.UTC(2026, 2, 12, 12);

const part: StatusPart = {
  kind: 'drive',
  id: 'TS80052HV4',
  name: 'Bay 3 · 2HV4',
  label: 'Tolvane Vault 8',
  present: true,
  sentences: ['31 °C, its limit is not known.'],
  absences: [],
  figures: [
    figure('power-on-hours', { value: 900, unit: 'hours', firstValue: 880, firstWallMs }),
    figure('reallocated-sectors', { value: 11, unit: 'sectors', firstValue: 8, firstWallMs }),
    figure('temperature', {
      value: null,
      unit: 'celsius',
      state: 'asleep',
      text: 'The drive sleeps and was not woken',
      beforeSleep: { value: 31, text: '', ageMs: 7_200_000 },
    }),
    figure('hour-counter', { value: 890, unit: 'hours', place: 'Newest self-test' }),
  ],
  hourCounters: [
    { name: 'Power-on hours', hours: 900, source: 'SMART data' },
    { name: 'Newest self-test', hours: 890, source: 'self-test log 06h' },
  ],
};

test('sentences, then each figure with its growth, and the hour counters side by side', () => {
  expect(renderPart(part)).toEqual([
    'Bay 3 · 2HV4: Tolvane Vault 8, serial TS80052HV4',
    '  31 °C, its limit is not known.',
    '',
    'Signs of damage',
    '  Reallocated sectors (5): 11, 3 more since 12 March 2026, first seen at 8, 12 min ago. From SMART data.',
    '',
    'Warmth',
    '  Temperature (194): asleep, 12 min ago; before that 31 °C, 2 h ago. The drive sleeps and was not woken.',
    '',
    'Age and use',
    '  Power-on hours (9): 900 h, 20 h more since 12 March 2026, first seen at 880 h, 12 min ago. From SMART data.',
    '',
    'Hour counters',
    '  Power-on hours: 900 h. From SMART data.',
    '  Newest self-test: 890 h. From self-test log 06h.',
  ]);
});

describe('which part is meant', () => {
  const other = { ...part, id: 'LK000052HV4', name: 'Drive … 2HV4' };
  const report = { groups: [{ parts: [part, other] }] } as unknown as StatusReport;

  test.each([
    ['TS80052HV4', 'TS80052HV4'],
    ['Bay 3 · 2HV4', 'TS80052HV4'],
    ['80052HV4', 'TS80052HV4'],
  ])('%s', (wanted, id) => {
    expect(partMeant(report, wanted).id).toBe(id);
  });

  test.each([
    ['2HV4', 'The box has 2 parts called "2HV4"'],
    ['HV4', 'The box has no part called "HV4"'],
    ['nothing', 'The box has no part called "nothing"'],
  ])('%s is refused', (wanted, text) => {
    expect(() => partMeant(report, wanted)).toThrow(text);
  });
});
