import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  diskLinkCeiling,
  generationOf,
  laneBytesPerSecond,
  pciCeiling,
} from '../../../src/checks/model/ceilings.js';
import { type DriveClass, parseClasses } from '../../../src/checks/model/classes.js';
import { expectedSpeedAt, zonedShare } from '../../../src/checks/model/drive-speed.js';
import { parseModel } from '../../../src/checks/model/parse.js';
import { driveChain, lowestCeiling, splitPort } from '../../../src/checks/model/topology.js';

const folder = new URL('../../../config/', import.meta.url);
const classesText = readFileSync(new URL('part-classes.toml', folder), 'utf8');
const exampleText = readFileSync(new URL('box.example.toml', folder), 'utf8');

function classes(): readonly DriveClass[] {
  const parsed = parseClasses(classesText);
  if ('complaints' in parsed) throw new Error(parsed.complaints.map((one) => one.text).join('\n'));
  return parsed.classes;
}

function example() {
  const parsed = parseModel(exampleText, 'box.example.toml');
  if ('complaints' in parsed) throw new Error(parsed.complaints.map((one) => one.text).join('\n'));
  return parsed.model;
}

describe('link ceilings', () => {
  // Linux 6.1 drivers/pci/pci.h PCIE_SPEED2MBS_ENC: 250, 500, 984, 1969, 3938 MB/s per lane.
  it.each([
    [1, 250],
    [2, 500],
    [3, 984.6],
    [4, 1969.2],
    [5, 3938.5],
  ])('generation %d: %d MB/s per lane', (generation, megabytes) => {
    expect((laneBytesPerSecond(generation) ?? 0) / 1e6).toBeCloseTo(megabytes, 1);
  });

  // Intel AN 829: 128-byte payload with 28 bytes around it 82.1 %, 256 with 20 92.8 %.
  it('leaves 410 to 464 MB/s of one lane of generation 2', () => {
    const ceiling = pciCeiling(2, 1);
    expect(Math.round((ceiling?.low ?? 0) / 1e6)).toBe(410);
    expect(Math.round((ceiling?.high ?? 0) / 1e6)).toBe(464);
  });

  // 8b/10b: ten bits on the line for each byte.
  it.each([
    [1.5e9, 150e6],
    [3e9, 300e6],
    [6e9, 600e6],
    [12e9, 1200e6],
  ])('disk link %d b/s: %d B/s', (link, bytes) => {
    expect(diskLinkCeiling(link)?.bytesPerSecond).toBe(bytes);
  });

  it('is null where nothing is known', () => {
    expect(pciCeiling(6, 1)).toBeNull();
    expect(pciCeiling(3, 0)).toBeNull();
    expect(pciCeiling(3, Number.NaN)).toBeNull();
    expect(diskLinkCeiling(5e9)).toBeNull();
    expect(generationOf(8)).toBe(3);
    expect(generationOf(7)).toBeNull();
    expect(generationOf(null)).toBeNull();
  });
});

describe('the way of a drive', () => {
  it('goes over multiplied port, card and slot to the chipset link', () => {
    const chain = driveChain(example(), 'TV8-77044');
    expect(chain.map(({ part }) => part)).toEqual([
      'TV8-77044',
      'disk-card.2a',
      'disk-card.2',
      'disk-card',
      'slot-short',
      'chipset',
    ]);
    // Lowest: the 3 Gb/s port, 300 MB/s before its own packets.
    expect(lowestCeiling(chain)).toMatchObject({ part: 'disk-card.2a' });
    expect(lowestCeiling(chain)?.ceiling.bytesPerSecond).toBe(300e6);
  });

  it('goes from a slot to the chipset link for a drive in a slot', () => {
    const chain = driveChain(example(), 'QN-M2-0042');
    expect(chain.map(({ kind }) => kind)).toEqual(['drive', 'slot', 'chipset-link']);
  });

  it('is short or empty where the model ends', () => {
    expect(driveChain(example(), 'nobody')).toEqual([]);
    expect(lowestCeiling([])).toBeNull();
    expect(splitPort('a.b.c')).toBeNull();
    expect(splitPort('a')).toBeNull();
    expect(splitPort(undefined)).toBeNull();
  });
});

describe('speed along the surface', () => {
  // Checked numerically: q 2.0 gives 0.901, 0.791, 0.661; q 2.09 gives 0.898, 0.784, 0.649.
  it.each([
    [0, 2, 1],
    [0.25, 2, 0.901],
    [0.5, 2, 0.791],
    [0.75, 2, 0.661],
    [1, 2, 0.5],
    [0.25, 2.09, 0.898],
    [0.5, 2.09, 0.784],
    [0.75, 2.09, 0.649],
  ])('at %d with ratio %d: %d', (fraction, ratio, share) => {
    expect(zonedShare(fraction, ratio)).toBeCloseTo(share, 3);
  });
});

describe('expectedSpeedAt', () => {
  const drive = { capacityBytes: 8e12, rotating: true };

  it('takes the interval of the named class', () => {
    const named = { ...drive, class: 'nas-6tb-to-8tb-5400' };
    expect(expectedSpeedAt({ drive: named, classes: classes() }, 0)).toMatchObject({
      low: 175e6,
      high: 215e6,
      limitedBy: null,
    });
  });

  it('lets the drive’s own data sheet go before its class', () => {
    const named = { ...drive, class: 'nas-6tb-to-8tb-5400', outerRate: 200e6 };
    const speed = expectedSpeedAt({ drive: named, classes: classes() }, 0);
    expect(speed).toMatchObject({
      low: 180e6,
      high: 210e6,
      source: 'outer-rate of the model file',
    });
  });

  it('guesses only a wide interval, and says so', () => {
    const speed = expectedSpeedAt({ drive, classes: classes() }, 0);
    expect(speed).toMatchObject({ low: 175e6, high: 255e6 });
    expect('source' in speed && speed.source).toMatch(/^guessed from capacity and rotation/);
  });

  it('is held down by the lowest link on the way', () => {
    const ceiling = diskLinkCeiling(1.5e9);
    if (ceiling === null) throw new Error('No ceiling');
    const behind = { ...drive, limit: { part: 'board-sata.3', ceiling } };
    const speed = expectedSpeedAt({ drive: behind, classes: classes() }, 0);
    // 150 MB/s, of which 132.5 to 140 MB/s are left.
    expect(speed).toMatchObject({ low: 132.5e6, high: 140e6, limitedBy: { part: 'board-sata.3' } });
    // Near the inner edge the drive itself is slower than the link.
    const inner = expectedSpeedAt({ drive: behind, classes: classes() }, 1);
    expect('low' in inner && Math.round(inner.low)).toBe(79_545_455);
  });

  it.each([
    ['an unknown class', { ...drive, class: 'nothing' }, /no class "nothing"/],
    ['no rotation told', { ...drive, rotating: null }, /whether it rotates/],
    ['no rotation told, data sheet', { ...drive, rotating: null, outerRate: 2e8 }, /rotates/],
    ['no capacity', { ...drive, capacityBytes: null }, /capacity of the drive is not known/],
    ['a capacity of no class', { ...drive, capacityBytes: 1e9 }, /No class fits/],
  ])('is unknown with a reason for %s', (_name, strange, why) => {
    const speed = expectedSpeedAt({ drive: strange, classes: classes() }, 0);
    expect('unknown' in speed && speed.unknown).toMatch(why);
  });

  it.each([-0.01, 1.01, Number.NaN])('is unknown at the place %d', (fraction) => {
    expect(expectedSpeedAt({ drive, classes: classes() }, fraction)).toHaveProperty('unknown');
  });

  it('never rises towards the inner edge and never has its ends the wrong way round', () => {
    const all = classes();
    const place = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(fc.nat(all.length - 1), place, place, (index, one, other) => {
        const [outer, inner] = [Math.min(one, other), Math.max(one, other)];
        const named = { ...drive, class: all[index]?.id };
        const at = (fraction: number) => expectedSpeedAt({ drive: named, classes: all }, fraction);
        const [first, second] = [at(outer), at(inner)];
        if ('unknown' in first || 'unknown' in second) throw new Error('Unknown');
        expect(first.low).toBeGreaterThanOrEqual(second.low);
        expect(first.high).toBeGreaterThanOrEqual(second.high);
        expect(first.low).toBeLessThanOrEqual(first.high);
      }),
      { numRuns: 200, seed: 11 },
    );
  });
});

describe('part classes', () => {
  it('names each class once and gives a source for each', () => {
    const ids = classes().map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids.length).toBeGreaterThanOrEqual(10);
    for (const { source } of classes()) expect(source).not.toBe('');
  });

  it('complains with a line about a wrong interval, a wrong key and no TOML', () => {
    const wrong = classesText.replace('outer-low = "100 MB/s"', 'outer-low = "300 MB/s"');
    const swapped = parseClasses(wrong);
    expect('complaints' in swapped && swapped.complaints[0]?.key).toBe('class[1]');
    const misspelt = parseClasses('[[class]]\nid = "a"\nrotatin = true\n');
    expect('complaints' in misspelt && misspelt.complaints.length).toBeGreaterThan(1);
    expect(parseClasses('=')).toHaveProperty('complaints');
  });
});

describe('the example box', () => {
  it('uses every table, every class it names is known, and every drive has a way', () => {
    const model = example();
    const lists = [model.chipsetLinks, model.slots, model.controllers, model.cards, model.cables];
    const more = [model.backplanes, model.drives, model.arrays, model.powerLeads];
    for (const list of [...lists, ...more, model.switches, model.clients]) {
      expect(list.length).toBeGreaterThan(0);
    }
    const known = classes().map(({ id }) => id);
    for (const drive of model.drives) {
      expect(known).toContain(drive.class);
      expect(driveChain(model, drive.serial).length).toBeGreaterThan(2);
    }
  });
});
