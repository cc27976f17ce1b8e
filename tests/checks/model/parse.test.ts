import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseModel } from '../../../src/checks/model/parse.js';

function complaintsOf(text: string) {
  const parsed = parseModel(text, 'box.toml');
  return 'complaints' in parsed ? parsed.complaints : [];
}

function brief(text: string) {
  return complaintsOf(text).map(({ line, key, nearest }) => [line, key, nearest ?? null]);
}

const sound = `[box]
name = "Reading room"
burn-in-from-page = false

[[chipset-link]]
id = "chipset"
generation = 3
lanes = 4

[[slot]]
id = "slot-1"
size = 8
wired = 4
generation = 3
behind = "chipset"

[[controller]]
id = "board-sata"
kind = "disk"
behind = "chipset"
ports = [{ id = "1", link = "6G" }, { id = "2", link = "3G" }]

[[card]]
id = "net-card"
kind = "network"
slot = "slot-1"
lanes = 8
generation = 2
ports = [{ id = "a", rated = "10G" }]
price = 25.5
return-by = 2026-03-31

[[drive]]
serial = "LK-0001"
capacity = "8 TB"
outer-rate = "210 MB/s"
port = "board-sata.1"
power-lead = "lead-1"

[[drive]]
serial = "LK-0002"
capacity = "8 TB"
port = "board-sata.2"

[[array]]
name = "tapes"
layout = "mirror"
members = ["LK-0001", "LK-0002"]

[[power-lead]]
id = "lead-1"
connector = "sata"
feeds = ["LK-0001"]
`;

describe('parseModel', () => {
  it('reads quantities in bytes, bytes per second and bits per second', () => {
    const parsed = parseModel(sound, 'box.toml');
    if ('complaints' in parsed) throw new Error(parsed.complaints.map((c) => c.text).join('\n'));
    expect(parsed.model.drives[0]?.capacity).toBe(8_000_000_000_000);
    expect(parsed.model.drives[0]?.outerRate).toBe(210_000_000);
    expect(parsed.model.drives[0]?.powerLead).toBe('lead-1');
    expect(parsed.model.controllers[0]?.ports?.map(({ link }) => link)).toEqual([6e9, 3e9]);
    expect(parsed.model.cards[0]?.returnBy).toBe('2026-03-31');
    expect(parsed.model.cards[0]?.price).toBe(25.5);
    expect(parsed.model.box.burnInFromPage).toBe(false);
    expect(parsed.model.clients).toEqual([]);
  });

  it('accepts an empty file: nothing is known and nothing is invented', () => {
    const parsed = parseModel('', 'box.toml');
    expect('model' in parsed && parsed.model.drives).toEqual([]);
  });

  const faults: readonly [string, string, string, [number, string, string | null]][] = [
    ['unknown key', 'outer-rate =', 'outer-rte =', [36, 'drive[1].outer-rte', 'outer-rate']],
    [
      'unknown key in a port',
      'link = "3G"',
      'lnk = "3G"',
      [21, 'controller[1].ports[2].lnk', 'link'],
    ],
    ['unknown table', '[[array]]', '[[arry]]', [45, 'arry', 'array']],
    ['unknown port', '"board-sata.2"', '"board-sata.3"', [43, 'drive[2].port', 'board-sata.1']],
    ['a network port for a drive', '"board-sata.2"', '"net-card.a"', [43, 'drive[2].port', null]],
    ['unknown slot', 'slot = "slot-1"', 'slot = "slot-2"', [26, 'card[1].slot', 'slot-1']],
    [
      'unknown chipset link',
      'behind = "chipset"\n\n[[c',
      'behind = "chipst"\n\n[[c',
      [15, 'slot[1].behind', 'chipset'],
    ],
    [
      'unknown member',
      '"LK-0001", "LK-0002"]',
      '"LK-0001", "LK-0003"]',
      [48, 'array[1].members[2]', 'LK-0001'],
    ],
    ['port used twice', '"board-sata.2"', '"board-sata.1"', [43, 'drive[2].port', null]],
    [
      'serial used twice',
      'serial = "LK-0002"',
      'serial = "LK-0001"',
      [41, 'drive[2].serial', null],
    ],
    ['id used twice', 'id = "net-card"', 'id = "board-sata"', [24, 'card[1].id', null]],
    ['reserved id', 'id = "net-card"', 'id = "memory"', [24, 'card[1].id', null]],
    ['capacity without unit', '"8 TB"\nouter', '8\nouter', [35, 'drive[1].capacity', null]],
    ['impossible lanes', 'size = 8', 'size = 3', [12, 'slot[1].size', null]],
    ['more lanes wired than fit', 'wired = 4', 'wired = 16', [13, 'slot[1].wired', null]],
    ['wrong generation', 'generation = 2', 'generation = 9', [28, 'card[1].generation', null]],
    ['a day that is none', '2026-03-31', '"2026-02-31"', [31, 'card[1].return-by', null]],
    ['too few members', '"LK-0001", "LK-0002"]', '"LK-0001"]', [48, 'array[1].members', null]],
    ['unknown layout', '"mirror"', '"mirrored"', [47, 'array[1].layout', null]],
    ['missing key', 'wired = 4\n', '', [10, 'slot[1].wired', null]],
    ['a table that should be a list', '[[array]]', '[array]', [45, 'array', null]],
    ['not TOML', 'wired = 4', 'wired = = 4', [13, '', null]],
  ];

  it.each(faults)('names line and key of: %s', (_name, from, to, expected) => {
    expect(sound).toContain(from);
    expect(brief(sound.replace(from, to))).toContainEqual(expected);
  });

  it('lists every fault of a file at once', () => {
    const text = sound
      .replace('size = 8', 'size = 5')
      .replace('"board-sata.2"', '"board-sata.7"')
      .replace('name = "Reading room"', 'nme = "Reading room"');
    expect(brief(text).map(([line]) => line)).toEqual([2, 12, 43]);
  });

  it('tells what was expected and found in one sentence', () => {
    const [complaint] = complaintsOf(sound.replace('"8 TB"\nouter', '"8"\nouter'));
    expect(complaint?.text).toBe(
      'box.toml: Line 35: drive[1].capacity: expected a capacity with its unit, such as "8 TB", found "8"',
    );
  });

  it('sees power leads that feed each other', () => {
    const ring = `[[power-lead]]
id = "a"
connector = "sata"
feeds = ["b"]
[[power-lead]]
id = "b"
connector = "sata"
feeds = ["a"]
`;
    expect(brief(ring)).toEqual([
      [2, 'power-lead[1].feeds', null],
      [6, 'power-lead[2].feeds', null],
    ]);
  });
});

describe('parseModel on hostile input', () => {
  it.each([
    ['a zero byte', 'name = "a\0b"'],
    ['prototype names', '__proto__ = 1\n[constructor]\nprototype = 2\n[[drive]]\n__proto__ = {}'],
    ['a deep list', `a = ${'['.repeat(50_000)}`],
    ['a closed deep list', `a = ${'['.repeat(3000)}${']'.repeat(3000)}`],
    ['a deep header', `[${Array.from({ length: 5000 }, () => 'a').join('.')}]`],
    ['a huge file', 'x'.repeat(2 * 1024 * 1024)],
    ['another form', '{"box": {"name": "x"}}'],
    ['too many parts', '[[drive]]\nserial = "x"\n'.repeat(600)],
  ])('complains about %s and does not fail', (_name, text) => {
    expect(complaintsOf(text).length).toBeGreaterThan(0);
  });

  it('does not touch the prototype of objects', () => {
    parseModel('[__proto__]\npolluted = 1\n[box.__proto__]\npolluted = 1', 'box.toml');
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  it('lists at most 200 faults and says how many more there are', () => {
    const text = Array.from({ length: 400 }, (_, at) => `wrong-${at} = 1`).join('\n');
    const complaints = complaintsOf(text);
    expect(complaints).toHaveLength(201);
    expect(complaints.at(-1)?.found).toBe('200 more');
  });

  it('never throws, on any text', () => {
    const word = fc.constantFrom(
      '[',
      ']',
      '[[drive]]',
      '=',
      '"',
      '\n',
      'a',
      '{',
      '}',
      ',',
      '.',
      '1',
    );
    const texts = fc.oneof(
      fc.string({ unit: 'binary' }),
      fc.array(word).map((w) => w.join('')),
    );
    fc.assert(
      fc.property(texts, (text) => {
        const parsed = parseModel(text, 'f');
        expect('model' in parsed || parsed.complaints.length > 0).toBe(true);
      }),
      { numRuns: 250, seed: 20_260_101 },
    );
  });

  it('never throws on a sound file with one piece cut out', () => {
    fc.assert(
      fc.property(fc.nat(sound.length), fc.nat(40), (start, length) => {
        parseModel(sound.slice(0, start) + sound.slice(start + length), 'f');
      }),
      { numRuns: 120, seed: 7 },
    );
  });
});
