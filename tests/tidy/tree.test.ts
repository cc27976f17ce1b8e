import { describe, expect, test } from 'vitest';
import { readTree } from './read-tree.js';
import { bannedCalls } from './rule-calls.js';
import { importCycles } from './rule-cycles.js';
import { deadFiles } from './rule-dead-files.js';
import { exportForms } from './rule-exports.js';
import { importZones } from './rule-imports.js';
import { leftovers } from './rule-markers.js';
import { names } from './rule-names.js';
import { commentWidths, fileSizes } from './rule-sizes.js';
import { bannedWords } from './rule-words.js';
import type { Rule } from './source-file.js';

const rules: Readonly<Record<string, Rule>> = {
  'each folder imports only what it may': importZones,
  'no import leads back to where it began': importCycles,
  'exports are named and made where they are exported': exportForms,
  'banned calls are not made': bannedCalls,
  'files stay short': fileSizes,
  'comments stay narrow': commentWidths,
  'every source file is reached': deadFiles,
  'nothing is left over': leftovers,
  'no words of other places': bannedWords,
  'names say what is inside': names,
};

describe('the whole tree', () => {
  const files = readTree();

  test('was read', () => {
    const paths = files.map(({ path }) => path);
    expect(paths).toEqual(expect.arrayContaining(['package.json', 'src/agent/clock.ts']));
    expect(paths.length).toBeGreaterThan(100);
  });

  test.each(Object.entries(rules))('%s', (_name, rule) => {
    expect(rule(files).map(({ path, line, text }) => `${path}:${line} ${text}`)).toEqual([]);
  });
});
