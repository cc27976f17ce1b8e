import { describe, expect, it } from 'vitest';
import type { SpeedRow } from '../../src/agent/store/rows.js';
import { estimate } from '../../src/checks/model/estimate/estimate.js';
import { wayOfData } from '../../src/checks/model/estimate/way-of-data.js';
import { firstMeasured } from '../../src/web/measured-speeds.js';
import { drawWay, partHeight, partOfWay } from '../../src/web/way-drawing.js';
import { exampleText, modelOf, partClasses } from '../checks/model/estimate/example.js';
import { randomModel, writeModel } from '../checks/model/random-model.js';
import { appOver, fakeStore } from './fake-store.js';
import { hourMs, part } from './rows.js';

const classes = partClasses();
const model = modelOf(exampleText);

function speed(run: number, place: number, own: Partial<SpeedRow> = {}): SpeedRow {
  return {
    id: run * 1000 + place / 1e12,
    partId: 1,
    run,
    path: 'drive:LK8A-20417',
    direction: 'read',
    streams: 1,
    place,
    bytesPerSecond: 150e6 - place / 1e5,
    low: null,
    high: null,
    seconds: 1,
    conditions: { temperature: null, otherLoad: 0, linkSpeed: null, lanes: null },
    complete: true,
    verdict: 'met',
    at: { boot: 1, monoMs: run * hourMs, wallMs: run * hourMs },
    ...own,
  };
}

describe('the first measured speed of a drive', () => {
  it('is that of the first complete and undisturbed run, at the outer edge', () => {
    const disturbed = { temperature: null, otherLoad: 0.5, linkSpeed: null, lanes: null };
    const rows = [
      speed(1, 0, { bytesPerSecond: 40e6, conditions: disturbed }),
      speed(1, 4e12),
      speed(2, 0, { bytesPerSecond: 90e6 }),
      speed(2, 4e12, { complete: false, bytesPerSecond: null }),
      speed(3, 0, { bytesPerSecond: 151e6 }),
      speed(3, 4e12),
      speed(4, 0, { bytesPerSecond: 155e6 }),
      speed(4, 4e12),
    ];
    expect([...firstMeasured(rows)]).toEqual([['LK8A-20417', 151e6]]);
  });

  it('is none without a run at the outer edge', () => {
    expect([...firstMeasured([speed(1, 4e12)])]).toEqual([]);
    expect([...firstMeasured([])]).toEqual([]);
  });
});

describe('the estimate page', () => {
  async function page(own: Parameters<typeof appOver>[0] = {}): Promise<string> {
    const response = await appOver(own).request('/estimate');
    expect(response.status).toBe(200);
    return (await response.text()).replaceAll('&#39;', "'");
  }

  it('says what to do when there is no model', async () => {
    expect(await page()).toContain('There is no build model yet');
  });

  it('draws the way, marks the limit, and says both in words', async () => {
    const html = await page({ model: () => model, classes });
    expect(html.match(/<svg/g)).toHaveLength(2);
    expect(html).toContain('RAID 6, any two may fail');
    expect(html).toMatch(/<g class="way-part limit"><title>hall-switch\.2/);
    expect(html).toContain('The same way in words');
    expect(html).toContain('hall-switch.2 (Ethernet at 2.5 Gb/s');
    expect(html).toContain('enough for this build');
    expect(html).not.toMatch(/NaN|undefined|Infinity/);
  });

  it('reckons with the first measurement of a drive and says so', async () => {
    const store = fakeStore({
      parts: () => [part({ name: 'LK8A-20417' })],
      speeds: () => [speed(1, 0, { bytesPerSecond: 151e6 }), speed(1, 4e12)],
    });
    const html = await page({ model: () => model, classes, openStore: () => store });
    expect(html).toContain('The first measurement of LK8A-20417 stands in place of its class');
    // Two data members at the pace of the slowest: 302 MB/s.
    expect(html).toContain('302 MB/s');
  });
});

describe('the drawing of the way', () => {
  const way = wayOfData(model, estimate(model, { classes }));

  it('has a thicker line where more is carried', () => {
    const drawing = drawWay(partOfWay(way, 'inward'));
    expect(drawing.thickest).toBeCloseTo(3.3166e9, -6);
    const thickness = drawing.links.map((link) => link.thickness);
    expect(Math.max(...thickness)).toBe(26);
    // 550 of 3317 MB/s.
    expect(thickness.some((one) => Math.abs(one - 26 * (550 / 3316.6)) < 0.01)).toBe(true);
  });

  it('lays no part over another, whatever the build', () => {
    for (let seed = 1; seed <= 100; seed += 1) {
      const one = modelOf(writeModel(randomModel(seed)).text);
      const whole = wayOfData(one, estimate(one, { classes }));
      for (const side of ['inward', 'outward'] as const) {
        const { parts, links, width, height } = drawWay(partOfWay(whole, side));
        for (const [at, { x, y }] of parts.entries()) {
          expect(x >= 0 && x < width && y < height, `seed ${seed}`).toBe(true);
          const over = parts
            .slice(at + 1)
            .filter((two) => two.x === x && Math.abs(two.y - y) < partHeight);
          expect(over, `seed ${seed}`).toEqual([]);
        }
        expect(
          links.every(({ path }) => !path.includes('NaN')),
          `seed ${seed}`,
        ).toBe(true);
        // Every link leads to the right.
        for (const { path } of links) {
          const [from = 0, , , , , , to = 0] = path.match(/-?[\d.]+/g)?.map(Number) ?? [];
          expect(to, `seed ${seed} ${path}`).toBeGreaterThan(from);
        }
      }
    }
  });
});
