/**
 * Each rule on planted breaches, which it must find, and on their innocent neighbours, which it
 * must leave alone. What is planted is written in pieces where the whole tree is looked through.
 */
import { describe, expect, test } from 'vitest';
import { bannedCalls } from './rule-calls.js';
import { importCycles } from './rule-cycles.js';
import { deadFiles } from './rule-dead-files.js';
import { exportForms } from './rule-exports.js';
import { leftovers } from './rule-markers.js';
import { names } from './rule-names.js';
import { commentWidths, fileSizes } from './rule-sizes.js';
import { bannedWords } from './rule-words.js';
import type { Rule } from './source-file.js';

function found(rule: Rule, ...files: readonly (readonly [path: string, text: string])[]) {
  return rule(files.map(([path, text]) => ({ path, text }))).map(
    ({ path, line, text }) => `${path}:${line} ${text}`,
  );
}

function use(path: string): string {
  return `import { x } from '${path}';\n`;
}

describe('import cycles', () => {
  test('a circle of three is found once, with its way', () => {
    expect(
      found(
        importCycles,
        ['src/checks/a.ts', use('./b.js')],
        ['src/checks/b.ts', `import type { C } from './c.js';`],
        ['src/checks/c.tsx', use('./a.js')],
      ),
    ).toEqual([
      'src/checks/a.ts:0 imports in a circle: src/checks/a.ts > src/checks/b.ts > ' +
        'src/checks/c.tsx > src/checks/a.ts; move what both need into a third file',
    ]);
  });

  test('a file that imports itself', () => {
    expect(found(importCycles, ['src/checks/a.ts', use('./a.js')])).toHaveLength(1);
  });

  test('two ways to one file are no circle', () => {
    expect(
      found(
        importCycles,
        ['src/a.ts', use('./b.js') + use('./c.js')],
        ['src/b.ts', use('./d.js')],
        ['src/c.ts', use('./d.js')],
        ['src/d.ts', ''],
      ),
    ).toEqual([]);
  });
});

describe('forms of export', () => {
  test.each([
    ['export default function a() {}', 'default export'],
    ["export * from './b.js';", 'passes exports on'],
    ["export { b } from './b.js';", 'passes exports on'],
    ["export type { B } from './b.js';", 'passes exports on'],
    ['export enum Colour { Red }', 'enum'],
    ['const enum Colour { Red }', 'enum'],
    ['namespace Inner { }', 'namespace'],
  ])('%s', (text, words) => {
    expect(found(exportForms, ['src/a.ts', text])).toEqual([expect.stringContaining(words)]);
    expect(found(exportForms, ['tests/a.test.ts', text])).toHaveLength(1);
  });

  test('a file called index', () => {
    expect(found(exportForms, ['src/checks/index.ts', ''])).toHaveLength(1);
  });

  test.each([
    'export const a = 1;',
    "const text = 'export default';",
    '// export default is banned',
    'export { a };',
    'const enumeration = { a: 1 };',
  ])('innocent: %s', (text) => {
    expect(found(exportForms, ['src/a.ts', text])).toEqual([]);
  });
});

describe('banned calls', () => {
  test.each([
    ['const now = Date.now();', 'Date.now: ask a Clock'],
    ['const now = new Date();', 'new Date(): ask a Clock'],
    ['const now = performance.now();', 'performance.now: ask a Clock'],
    ['setInterval(work, 5);', 'setInterval: add a job to the schedule'],
    [`const roll = Math${'.random'}();`, 'take a source of chance'],
    ['await library.blockDevices();', 'read drives through the Box'],
    ['await library.diskLayout();', 'read drives through the Box'],
    [use('node:child_process'), 'node:child_process: start children through'],
    [use('child_process'), 'child_process: start children through'],
    [use('koffi'), 'koffi: call what agent/box/ffi offers'],
    [use('systeminformation'), 'systeminformation: ask the Box'],
  ])('%s', (text, words) => {
    expect(found(bannedCalls, ['src/agent/speed/a.ts', `\n${text}`])).toEqual([
      expect.stringContaining(`src/agent/speed/a.ts:2 `),
    ]);
    expect(found(bannedCalls, ['src/agent/speed/a.ts', text])[0]).toContain(words);
  });

  test('of the library for the machine only the harmless questions are asked', () => {
    const machine = 'src/agent/box/machine-facts.ts';
    expect(found(bannedCalls, [machine, 'await systeminformation.cpu();'])).toEqual([]);
    expect(found(bannedCalls, [machine, 'await systeminformation.graphics();'])).toEqual([
      `${machine}:1 systeminformation.graphics: read it from the kernel`,
    ]);
    expect(found(bannedCalls, [machine, 'await systeminformation.diskLayout();'])).toHaveLength(2);
  });

  test.each([
    ['src/agent/clock.ts', 'Date.now();'],
    ['src/web/browser/live.ts', 'setInterval(look, 5); Date.now();'],
    ['src/agent/schedule/tick.ts', 'setInterval(look, 5);'],
    ['src/agent/workers/drive-worker.ts', 'setInterval(look, 5);'],
    ['src/agent/workers/supervise.ts', use('node:child_process')],
    ['src/agent/box/ffi.ts', use('koffi')],
    ['src/agent/a.ts', 'new Date(wallMs); // not Date.now()'],
    ['src/agent/a.ts', "say('Date.now');"],
    ['tests/agent/a.test.ts', 'Date.now(); setInterval(look, 5);'],
  ])('innocent in %s: %s', (path, text) => {
    expect(found(bannedCalls, [path, text])).toEqual([]);
  });

  test('chance without a seed is banned in tests as well', () => {
    expect(found(bannedCalls, ['tests/a.test.ts', `Math${'.random'}();`])).toHaveLength(1);
  });
});

describe('sizes', () => {
  const lines = (count: number) => 'a();\n'.repeat(count);

  test('files are counted on both sides of their limit', () => {
    expect(found(fileSizes, ['src/a.ts', lines(300)], ['tests/a.ts', lines(500)])).toEqual([]);
    expect(found(fileSizes, ['src/a.ts', lines(301)], ['tests/a.tsx', lines(501)])).toEqual([
      'src/a.ts:0 301 lines, at most 300: split it by what changes together',
      'tests/a.tsx:0 501 lines, at most 500: split it by what changes together',
    ]);
    expect(found(fileSizes, ['src/web/browser/style.css', lines(301)])).toHaveLength(1);
  });

  test('comments are measured, code is not', () => {
    const wide = 'x'.repeat(97);
    expect(found(commentWidths, ['src/a.ts', `// ${wide}`])).toEqual([]);
    expect(found(commentWidths, ['src/a.ts', `a();\n// ${wide}x`])).toEqual([
      'src/a.ts:2 comment 101 columns wide, at most 100',
    ]);
    expect(found(commentWidths, ['src/a.ts', `say('${wide}xxxx');`])).toEqual([]);
    expect(found(commentWidths, ['tests/a.ts', `/**\n * ${wide}x\n */`])).toHaveLength(1);
  });
});

test('dead files: what no entry leads to', () => {
  expect(
    found(
      deadFiles,
      ['src/cli/main.ts', use('./scan.js')],
      ['src/cli/scan.ts', `const later = await import('./late.js');`],
      ['src/cli/late.ts', ''],
      ['src/cli/forgotten.ts', use('./deeper.js')],
      ['src/cli/deeper.ts', ''],
      ['src/agent/workers/drive-worker.ts', `import type { A } from '../a.js';`],
      ['src/agent/a.ts', ''],
      ['tests/a.test.ts', use('../src/cli/forgotten.js')],
    ),
  ).toEqual([
    'src/cli/forgotten.ts:0 nothing that is started imports it: remove it',
    'src/cli/deeper.ts:0 nothing that is started imports it: remove it',
  ]);
});

describe('leftovers', () => {
  test.each(['TO' + 'DO', 'FIX' + 'ME', 'X' + 'XX', 'HA' + 'CK'])('the marker %s', (marker) => {
    expect(found(leftovers, ['src/a.ts', `\n// ${marker}: later`])).toEqual([
      `src/a.ts:2 ${marker}: finish it, or file an issue`,
    ]);
    expect(found(leftovers, ['README.md', `${marker} write this`])).toHaveLength(1);
    expect(found(leftovers, ['src/a.ts', `const a${marker}b = 1;`])).toEqual([]);
  });

  test.each([
    '// const a = 1;',
    '// if (a > b) {',
    '// return a.b;',
    '// return read(place);',
    '//   await store.close();',
    '// store.close();',
    '// a.b = c;',
    '/*\n * }\n */',
    '// import { a } from "b";',
  ])('commented out: %s', (text) => {
    expect(found(leftovers, ['src/a.ts', text])).toEqual([
      expect.stringContaining('commented-out code'),
    ]);
  });

  test.each([
    '// If a drive sleeps (see above), it is left alone;',
    '// for the record; nothing is done',
    '// return or replace;',
    '// Calls `store.close();` at the end.',
    '/** A row of the table; it holds { a, b }. */',
    '/* one */',
    'const a = 1;',
  ])('innocent: %s', (text) => {
    expect(found(leftovers, ['src/a.ts', text])).toEqual([]);
  });

  test('a test that runs alone', () => {
    const alone = `test.${'only'}('a', () => {});`;
    expect(found(leftovers, ['tests/a.test.ts', alone])).toEqual([
      'tests/a.test.ts:1 test that runs alone: remove "only"',
    ]);
    const block = `describe.${'only'}('a', () => {});`;
    expect(found(leftovers, ['tests/a.test.ts', block])).toHaveLength(1);
  });

  test('a test that is left out needs its reason beside it', () => {
    for (const how of ['skip', 'skipIf(isRoot)', 'runIf(isRoot)', 'todo']) {
      const left = `test.${how}('a', () => {});`;
      expect(found(leftovers, ['tests/a.test.ts', `b();\n${left}`])).toEqual([
        'tests/a.test.ts:2 test left out: say why in a comment above it',
      ]);
      expect(found(leftovers, ['tests/a.test.ts', `b();\n// Only root may.\n${left}`])).toEqual([]);
    }
  });
});

describe('words', () => {
  test.each([
    `/wo${'rk'}/main/src`,
    `sha${'red'}/facts/drives.md`,
    `.libr${'ary'}/env`,
    `/ho${'me'}/somebody/clone`,
    `made by tra${'ck'} C`,
    `Some${'_'}Attribute${'_'}Name`,
  ])('%s', (text) => {
    expect(found(bannedWords, ['src/a.ts', `a\nb ${text}`])).toEqual([
      expect.stringMatching(/^src\/a\.ts:2 /),
    ]);
  });

  test('in the name of a file', () => {
    expect(found(bannedWords, [`docs/sha${'red'}/facts/a.md`, ''])).toHaveLength(1);
  });

  test.each(['network/main', 'a shared part', 'track 0', 'SQLITE_FULL', 'power_on_hours'])(
    'innocent: %s',
    (text) => {
      expect(found(bannedWords, ['src/a.ts', text])).toEqual([]);
    },
  );
});

test('names of files and folders', () => {
  expect(
    found(
      names,
      ['src/utils/a.ts', ''],
      ['src/checks/common/b.ts', ''],
      ['src/checks/driveSpeed.ts', ''],
      ['tests/Box/a.test.ts', ''],
      ['tests/box/sim_drive.ts', ''],
    ),
  ).toEqual([
    'src/utils/a.ts:0 folder "utils": name it by its subject',
    'src/checks/common/b.ts:0 folder "common": name it by its subject',
    'src/checks/driveSpeed.ts:0 file "driveSpeed.ts" is not kebab-case',
    'tests/Box/a.test.ts:0 folder "Box" is not kebab-case',
    'tests/box/sim_drive.ts:0 file "sim_drive.ts" is not kebab-case',
  ]);
  expect(
    found(
      names,
      ['src/checks/drive-speed.ts', ''],
      ['tests/box/sim-drive.test.tsx', ''],
      ['config/box.example.toml', ''],
      ['tests/captures/README.md', ''],
      ['README.md', ''],
    ),
  ).toEqual([]);
});
