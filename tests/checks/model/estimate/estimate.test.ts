import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type DriveClass, parseClasses } from '../../../../src/checks/model/classes.js';
import { estimate } from '../../../../src/checks/model/estimate/estimate.js';
import type { Estimate, PathEstimate } from '../../../../src/checks/model/estimate/types.js';
import { parseModel } from '../../../../src/checks/model/parse.js';

const folder = new URL('../../../../config/', import.meta.url);
const exampleText = readFileSync(new URL('box.example.toml', folder), 'utf8');

function classes(): readonly DriveClass[] {
  const parsed = parseClasses(readFileSync(new URL('part-classes.toml', folder), 'utf8'));
  if ('complaints' in parsed) throw new Error(parsed.complaints.map(({ text }) => text).join('\n'));
  return parsed.classes;
}

function estimateOf(text: string): Estimate {
  const parsed = parseModel(text, 'box.toml');
  if ('complaints' in parsed) throw new Error(parsed.complaints.map(({ text: t }) => t).join('\n'));
  return estimate(parsed.model, { classes: classes() });
}

function pathOf(found: Estimate, path: string, direction = 'read'): PathEstimate {
  const one = found.paths.find((each) => each.path === path && each.direction === direction);
  if (one === undefined) throw new Error(`There is no path ${path}`);
  return one;
}

interface CardBox {
  readonly lanes: number;
  readonly generation?: number;
  readonly drives: number;
  readonly outer?: number;
  readonly capacity?: string;
  readonly layout?: string;
  readonly link?: string;
  readonly client?: string;
}

/** Drives on one card in one slot, with a 10-gigabit way to a client. */
function cardBox(box: CardBox): string {
  const { lanes, drives, generation = 2, outer = 210, capacity = '12 TB', layout } = box;
  const { link = '6G', client = '2.5G' } = box;
  const serials = Array.from({ length: drives }, (_, index) => `LK-${index}`);
  const ports = serials.map((_, index) => `{ id = "p${index}", link = "${link}" }`).join(', ');
  return `
[[slot]]
id = "slot"
size = 16
wired = ${lanes}
generation = ${generation}
[[card]]
id = "card"
kind = "disk"
slot = "slot"
ports = [${ports}]
${serials
  .map(
    (serial, index) => `[[drive]]
serial = "${serial}"
capacity = "${capacity}"
outer-rate = "${outer} MB/s"
port = "card.p${index}"
`,
  )
  .join('')}
${layout === undefined ? '' : `[[array]]\nname = "tapes"\nlayout = "${layout}"\nmembers = ${JSON.stringify(serials)}`}
[[controller]]
id = "net"
kind = "network"
ports = [{ id = "a", rated = "10G" }]
[[client]]
name = "desk"
link = "${client}"
from = "net.a"
`;
}

describe('a card with one lane of generation 2 (common practice)', () => {
  it('carries one hard drive in full', () => {
    const path = pathOf(estimateOf(cardBox({ lanes: 1, drives: 1 })), 'drive:LK-0');
    expect(path.limit).toEqual({ part: 'LK-0', bytesPerSecond: 210e6 });
  });

  // 410 to 432 MB/s of the lane's 500 are left for data: Intel AN 708 and AN 829.
  it('clips two together to 205 to 216 MB/s each', () => {
    const found = estimateOf(cardBox({ lanes: 1, drives: 2, outer: 250 }));
    const path = pathOf(found, 'group:slot');
    const stage = path.stages.find(({ part }) => part === 'slot');
    expect(path.limit?.part).toBe('slot');
    expect(Math.round((stage?.low ?? 0) / 2e6)).toBe(205);
    expect((path.limit?.bytesPerSecond ?? 0) / 2e6).toBeGreaterThan(205);
    expect((path.limit?.bytesPerSecond ?? 0) / 2e6).toBeLessThan(216);
  });

  it('stops one solid-state drive at the lane', () => {
    const path = pathOf(estimateOf(cardBox({ lanes: 1, drives: 1, outer: 550 })), 'drive:LK-0');
    expect(path.limit?.part).toBe('slot');
  });

  it('suffices with four lanes for ten gigabits', () => {
    const path = pathOf(estimateOf(cardBox({ lanes: 4, drives: 4, outer: 550 })), 'group:slot');
    expect(path.limit?.bytesPerSecond ?? 0).toBeGreaterThan(1176.85e6);
  });
});

describe('arrays', () => {
  // 12 TB, 210 MB/s outside, mean three quarters of it: 157.5 MB/s, 21.2 h.
  it('rebuild at the mean of the surface on four lanes', () => {
    const [array] = estimateOf(cardBox({ lanes: 4, drives: 4, layout: 'raid6' })).arrays;
    expect(array?.rebuildHours).toBeCloseTo(21.2, 1);
  });

  // 421 MB/s of one lane for four members: 105 MB/s each, 31.7 h; at 410 MB/s 32.5 h.
  it('rebuild in half as long again on one lane', () => {
    const [array] = estimateOf(cardBox({ lanes: 1, drives: 4, layout: 'raid6' })).arrays;
    expect(array?.rebuildHours).toBeCloseTo(31.7, 1);
    expect(array?.rebuild?.hours.high).toBeCloseTo(32.5, 1);
    expect(array?.rebuild?.limit.part).toBe('slot');
  });

  // 195 MB/s twice is just under 400; 2.5 Gb/s carry 294.2 of it: a quarter is lost.
  it('lose a quarter to a client at 2.5 Gb/s', () => {
    const found = estimateOf(cardBox({ lanes: 8, drives: 4, outer: 195, layout: 'raid6' }));
    const array = pathOf(found, 'array:tapes').limit?.bytesPerSecond ?? 0;
    const client = pathOf(found, 'client:desk/tapes').limit;
    expect(array).toBe(390e6);
    expect(client?.part).toBe('client:desk');
    expect(1 - (client?.bytesPerSecond ?? 0) / array).toBeCloseTo(0.246, 3);
  });
});

describe('the example', () => {
  const found = estimateOf(exampleText);

  it('holds 16 TB and bears any two losses', () => {
    expect(found.arrays[0]).toMatchObject({
      usableBytes: 16e12,
      survives: { always: 2, atBest: 2 },
      title: 'RAID 6, any two may fail',
    });
  });

  it('names a limit that is the smallest stage of its path', () => {
    for (const { stages, limit, path } of found.paths) {
      expect(limit?.bytesPerSecond, path).toBe(
        Math.min(...stages.map(({ bytesPerSecond }) => bytesPerSecond)),
      );
    }
  });

  it('warns of the moulded lead and of the lead in a lead', () => {
    const codes = found.warnings.map(({ code, subject }) => `${code} ${subject}`);
    expect(codes).toContain('moulded-lead splitter');
    expect(codes).toContain('chained-leads lead-right');
    expect(codes.filter((code) => code.startsWith('lead-overloaded'))).toEqual([]);
  });
});

describe('whatever the build', () => {
  const lanes = fc.constantFrom(1, 2, 4, 8, 16);
  const box = fc.record({
    lanes,
    generation: fc.integer({ min: 1, max: 5 }),
    drives: fc.integer({ min: 4, max: 8 }),
    outer: fc.integer({ min: 40, max: 550 }),
    layout: fc.constantFrom('raid0', 'raid5', 'raid6', 'raidz1', 'raidz2', 'raidz3'),
  });

  it('more lanes or a newer generation never lower a limit', () => {
    fc.assert(
      fc.property(box, lanes, fc.integer({ min: 1, max: 5 }), (one, otherLanes, generation) => {
        const better = {
          ...one,
          lanes: Math.max(one.lanes, otherLanes),
          generation: Math.max(one.generation, generation),
        };
        const [before, after] = [estimateOf(cardBox(one)), estimateOf(cardBox(better))];
        for (const [index, path] of before.paths.entries()) {
          const limit = after.paths[index]?.limit?.bytesPerSecond ?? 0;
          expect(limit).toBeGreaterThanOrEqual((path.limit?.bytesPerSecond ?? 0) - 1);
        }
      }),
      { numRuns: 100 },
    );
  });

  it('a faster disk link or a faster client never lowers a limit', () => {
    const links = ['1.5G', '3G', '6G', '12G'];
    const clients = ['1G', '2.5G', '10G'];
    const step = (list: readonly string[]) =>
      fc.tuple(fc.nat(list.length - 1), fc.nat(list.length - 1)).map((two) => two.toSorted());
    fc.assert(
      fc.property(box, step(links), step(clients), (one, link, client) => {
        const [slow, fast] = [0, 1].map((at) =>
          estimateOf(
            cardBox({
              ...one,
              link: links[link[at] ?? 0] ?? '',
              client: clients[client[at] ?? 0] ?? '',
            }),
          ),
        );
        for (const [index, path] of (slow?.paths ?? []).entries()) {
          const limit = fast?.paths[index]?.limit?.bytesPerSecond ?? 0;
          expect(limit).toBeGreaterThanOrEqual((path.limit?.bytesPerSecond ?? 0) - 1);
        }
      }),
      { numRuns: 100 },
    );
  });

  it('one more equal member never lowers what a striped or parity array reads', () => {
    fc.assert(
      fc.property(box, (one) => {
        const more = { ...one, drives: one.drives + 1 };
        const read = (each: CardBox) =>
          estimateOf(cardBox(each)).arrays[0]?.readBytesPerSecond ?? 0;
        expect(read(more)).toBeGreaterThanOrEqual(read(one) - 1);
      }),
      { numRuns: 100 },
    );
  });
});
