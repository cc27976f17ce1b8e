/** Damaged and cut records: the way to the bytes never fails, and never leads outside a page. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { bytesOfFigure } from '../../../src/agent/probes/figure-bytes.js';
import { figuresOf } from '../../../src/agent/probes/figure-effect.js';
import { fieldWords } from '../../../src/checks/byte-words.js';
import type { Capture, RawPage } from '../../../src/checks/capture.js';
import { captureOf } from './capture-of.js';

const names = ['nvme-healthy', 'sas-failing', 'packed-attributes', 'settings-and-timers'] as const;

const damage = fc.record({
  name: fc.constantFrom(...names),
  page: fc.nat(20),
  length: fc.nat(600),
  flips: fc.array(fc.record({ at: fc.nat(511), bits: fc.integer({ min: 1, max: 255 }) }), {
    maxLength: 4,
  }),
  figure: fc.nat(60),
});

function damaged(
  capture: Capture,
  { page, length, flips }: { page: number; length: number; flips: readonly Flip[] },
): Capture {
  const index = page % capture.pages.length;
  const pages = capture.pages.map((one, at): RawPage => {
    if (at !== index) return one;
    const data = one.data.slice(0, length);
    for (const flip of flips) {
      if (flip.at < data.length) data[flip.at] = (data[flip.at] ?? 0) ^ flip.bits;
    }
    return { ...one, data };
  });
  return { ...capture, pages };
}

interface Flip {
  readonly at: number;
  readonly bits: number;
}

test('marks of a damaged capture lie inside its pages, in order, and have words', () => {
  fc.assert(
    fc.property(damage, ({ name, figure, ...how }) => {
      const capture = damaged(captureOf(name), how);
      const figures = figuresOf(capture);
      const { metric, place = '' } = figures[figure % figures.length] ?? { metric: '' };
      const found = bytesOfFigure(capture, { metric, place });
      for (const { page, fields, deciding } of found?.pages ?? []) {
        for (const { from, to } of [...fields, ...deciding]) {
          expect(from).toBeLessThanOrEqual(to);
          expect(from).toBeGreaterThanOrEqual(0);
          expect(to).toBeLessThan(page.data.length);
        }
        for (const field of fields) {
          expect(fieldWords(field, page.data, true)).toMatch(/^(byte|bit)s? \d/);
        }
      }
    }),
    { numRuns: 40 },
  );
}, 120_000);
