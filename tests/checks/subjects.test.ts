import { expect, test } from 'vitest';
import { metrics } from '../../src/checks/metrics.js';
import { bySubject, hourFigures, subjectOf } from '../../src/checks/subjects.js';

test.each([
  ['reallocated-sectors', 'Signs of damage'],
  ['memory-errors-corrected-since-load', 'Signs of damage'],
  ['seek-errors', 'What the drive says of itself'],
  ['temperature', 'Warmth'],
  ['box-load', 'Work right now'],
  ['array-state', 'The array'],
  ['unheard-of', 'Other figures'],
])('%s stands under "%s"', (metric, title) => {
  expect(subjectOf(metric)).toBe(title);
});

test('a counter of damage that no subject names is still a sign of damage', () => {
  const damage = metrics.filter((info) => info.damage);
  expect(damage.filter(({ metric }) => subjectOf(metric) === 'Other figures')).toEqual([]);
});

test('subjects in the order of questions, figures in that of the list, then by place', () => {
  const figures = [
    { metric: 'temperature', place: 'sensor 2' },
    { metric: 'unheard-of' },
    { metric: 'power-cycles' },
    { metric: 'temperature', place: 'sensor 1' },
    { metric: 'reallocated-sectors' },
    { metric: 'power-on-hours' },
  ];
  const groups = bySubject(figures).map(({ title, figures: own }) => [
    title,
    own.map(({ metric, place }) => place ?? metric),
  ]);
  expect(groups).toEqual([
    ['Signs of damage', ['reallocated-sectors']],
    ['Warmth', ['sensor 1', 'sensor 2']],
    ['Age and use', ['power-on-hours', 'power-cycles']],
    ['Other figures', ['unheard-of']],
  ]);
});

test('records of age are those in hours', () => {
  const figures = [
    { metric: 'power-on-hours', unit: 'hours' },
    { metric: 'power-on-hours', unit: 'count' },
    { metric: 'hour-counter', unit: 'hours' },
    { metric: 'temperature', unit: 'celsius' },
  ];
  expect(hourFigures(figures)).toEqual([figures[0], figures[2]]);
});
