import { describe, expect, it } from 'vitest';
import { compareEstimates } from '../../../../src/checks/model/estimate/compare-estimates.js';
import { comparisonLines } from '../../../../src/checks/model/estimate/comparison-lines.js';
import { enoughOf } from '../../../../src/checks/model/estimate/enough.js';
import { estimate } from '../../../../src/checks/model/estimate/estimate.js';
import { gainsOf } from '../../../../src/checks/model/estimate/gains.js';
import { estimateLines, gainWords } from '../../../../src/checks/model/estimate/lines.js';
import { tellEstimate } from '../../../../src/checks/model/estimate/tell-estimate.js';
import { exampleText, exampleWith, modelOf, partClasses } from './example.js';

const classes = partClasses();

function found(text: string) {
  const model = modelOf(text);
  return { model, found: estimate(model, { classes }) };
}

/** Four 12 TB drives on a card with so many lanes, in a slot that has four. */
function fourOnACard(lanes: number): string {
  const serials = ['LK-1', 'LK-2', 'LK-3', 'LK-4'];
  return `
[[slot]]
id = "slot-a"
size = 8
wired = 4
generation = 2
[[card]]
id = "disk-card"
kind = "disk"
slot = "slot-a"
lanes = ${lanes}
generation = 2
ports = [${serials.map((_, at) => `{ id = "p${at}", link = "6G" }`).join(', ')}]
${serials.map((serial, at) => `[[drive]]\nserial = "${serial}"\ncapacity = "12 TB"\nouter-rate = "210 MB/s"\nport = "disk-card.p${at}"`).join('\n')}
[[array]]
name = "tapes"
layout = "raid6"
members = ${JSON.stringify(serials)}
`;
}

describe('what a better part would buy', () => {
  // 12 TB at 105 MB/s a member on one lane, at 157.5 MB/s (mean of the surface) on four.
  // Two lanes carry 842 MB/s, the four drives bring 840: four lanes would buy nothing more.
  it('shortens a rebuild from 32 to 21 hours, with the smallest card that does', () => {
    const { model, found: one } = found(fourOnACard(1));
    const gains = gainsOf(model, { classes }, one);
    expect(gains.map(({ change }) => change)).toEqual([
      'a card with 2 lanes instead of 1 in place of disk-card',
    ]);
    expect(gains.map(gainWords).join()).toContain('tapes rebuilds in 21 h instead of 32 h');
  });

  it('finds no part worth buying where the drives are the limit', () => {
    const { model, found: one } = found(fourOnACard(4));
    expect(gainsOf(model, { classes }, one)).toEqual([]);
  });

  it('moves a card to a free slot before anything is bought', () => {
    const text = `${fourOnACard(4).replace('wired = 4', 'wired = 1')}
[[slot]]
id = "slot-b"
size = 16
wired = 8
generation = 2
`;
    const { model, found: one } = found(text);
    const [gain] = gainsOf(model, { classes }, one);
    expect(gain).toMatchObject({ part: 'disk-card', free: true });
    expect(gain?.change).toBe(
      'disk-card in slot-b (x16 size, wired x8, generation 2) instead of slot-a',
    );
  });

  it('every effect of the example is an improvement', () => {
    const { model, found: one } = found(exampleText);
    const gains = gainsOf(model, { classes }, one);
    expect(gains.length).toBeGreaterThan(0);
    for (const { from, to, unit } of gains.flatMap(({ effects }) => effects)) {
      expect(unit === 'hours' ? from - to : to - from).toBeGreaterThan(from * 0.05);
    }
  });
});

describe('enough', () => {
  // Two drives of 225 MB/s on 842 MB/s of two lanes; 2.5 Gb/s asked of 10.
  it('is said where a narrow part holds nothing back', () => {
    const { model, found: one } = found(exampleText);
    expect(enoughOf(model, one).map(({ part }) => part)).toEqual([
      'slot-short',
      'slot-long',
      'disk-card.2a',
      'network-card.a',
    ]);
  });

  it('is not said beside a card of one lane that clips four drives', () => {
    const { found: one } = found(fourOnACard(1));
    const [warning] = one.warnings.filter(({ code }) => code === 'card-limits-slot');
    expect(warning?.text).toBe(
      'Slot slot-a (x8 size, wired x4, generation 2) could do more than disk-card: 1 lanes, generation 2',
    );
  });

  it('of a weak port of one member is no stage that members share', () => {
    const { found: one } = found(fourOnACard(4).replace('link = "6G"', 'link = "1.5G"'));
    const array = one.paths.find(({ path }) => path === 'array:tapes');
    expect(array?.limit?.part).toBe('disk-card.p0');
    expect(one.warnings.filter(({ code }) => code === 'shared-stage')).toEqual([]);
  });

  it('is not said of a lane that clips four drives', () => {
    const { model, found: one } = found(fourOnACard(1));
    expect(enoughOf(model, one)).toEqual([]);
    const shared = one.warnings.filter(({ code }) => code === 'shared-stage');
    expect(shared.map(({ subject }) => subject)).toContain('slot-a');
  });
});

describe('two builds side by side', () => {
  const faster = exampleWith([
    ['layout = "raid6"', 'layout = "raid5"'],
    ['name = "transcribing-desk"\nlink = "2.5G"', 'name = "transcribing-desk"\nlink = "1G"'],
  ]);
  const changes = compareEstimates(found(exampleText).found, found(faster).found);
  const judged = (key: string) => changes.figures.find((one) => one.key === key);

  it('judge each figure by which way is better', () => {
    expect(judged('array:recordings holds')).toMatchObject({
      first: 16e12,
      second: 24e12,
      judged: 'better',
    });
    expect(judged('array:recordings survives')).toMatchObject({
      first: 2,
      second: 1,
      judged: 'worse',
    });
    expect(judged('array:recordings rebuild')).toMatchObject({ judged: 'same' });
    expect(judged('client:transcribing-desk/memory read')?.judged).toBe('worse');
  });

  it('tell the words that differ, and a figure that only one has', () => {
    expect(changes.words).toContainEqual({
      key: 'array:recordings title',
      words: 'recordings is',
      first: 'RAID 6, any two may fail',
      second: 'RAID 5, any one may fail',
    });
    const other = exampleWith([['name = "recordings"', 'name = "tapes"']]);
    const renamed = compareEstimates(found(exampleText).found, found(other).found);
    const gone = renamed.figures.find(({ key }) => key === 'array:recordings holds');
    expect(gone).toMatchObject({ first: 16e12, second: null, judged: null });
  });

  it('read as lines, the changes before what stays', () => {
    const lines = comparisonLines(changes, { first: 'a', second: 'b', currency: 'EUR' });
    const text = lines.join('\n');
    expect(text).toContain('recordings holds: first 16 TB, second 24 TB (better)');
    expect(text.indexOf('What changes')).toBeLessThan(text.indexOf('What stays'));
    expect(text).toContain('parts cost 232 EUR');
  });

  it('call figures that read the same the same', () => {
    const nearly = exampleWith([['outer-rate = "195 MB/s"', 'outer-rate = "194 MB/s"']]);
    const close = compareEstimates(found(exampleText).found, found(nearly).found);
    expect(close.figures.find(({ key }) => key === 'array:recordings rebuild')?.judged).toBe(
      'same',
    );
    expect(close.figures.find(({ key }) => key === 'array:recordings read')?.judged).toBe('worse');
  });

  it('of the same file change nothing', () => {
    const { found: one } = found(exampleText);
    const none = compareEstimates(one, one);
    expect(none.figures.every((figure) => figure.judged === 'same')).toBe(true);
    expect([none.words, none.warningsGone, none.warningsNew]).toEqual([[], [], []]);
  });
});

describe('the example in lines', () => {
  const told = tellEstimate(modelOf(exampleText), { classes });
  const lines = estimateLines(told).map((line) => line.trim());

  it('show the way of the data from a drive to the processor and on to the client', () => {
    expect(lines).toContain(
      'TV8-77044 (bay 4) 225 MB/s → data cable not told (power: splitter) → disk-card.2a 275 MB/s → ' +
        'disk-card.2 550 MB/s → disk-card 842.1 MB/s → slot-short 842.1 MB/s → chipset 3.32 GB/s → ' +
        'Processor and memory',
    );
    const client = lines.find((line) => line.endsWith('transcribing-desk 294.2 MB/s'));
    expect(client).toMatch(
      /^Processor and memory → slot-long .* hall-switch.2 294.2 MB\/s \[limit\]/,
    );
  });

  it('name what holds back what, and what was taken for granted', () => {
    const text = lines.join('\n');
    expect(text).toContain('limit: hall-switch.2');
    expect(text).toContain('transcribing-desk reading recordings');
    expect(text).toContain('transcribing-desk is taken to be on port 2 of hall-switch');
    expect(text).not.toMatch(/NaN|undefined|Infinity/);
  });
});

describe('a first measurement', () => {
  it('goes before the data sheet and the class', () => {
    const measured = new Map([['LK8A-20417', 150e6]]);
    const known = estimate(modelOf(exampleText), { classes, measured });
    expect(known.drives[0]).toMatchObject({
      outer: { expected: 150e6 },
      source: 'its own first measurement',
    });
    // Two data members of the slowest: 300 MB/s instead of 390.
    expect(known.arrays[0]?.readBytesPerSecond).toBe(300e6);
  });
});
