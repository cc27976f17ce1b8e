import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { catalogue } from '../src/checks/catalogue.js';
import { findingCodes } from '../src/checks/finding-codes.js';

const readme = readFileSync(new URL('../README.md', import.meta.url), 'utf8');
const table = readme.split('<!-- codes:start -->')[1]?.split('<!-- codes:end -->')[0] ?? '';
const rows = table.split('\n').filter((line) => line.startsWith('| `'));

describe('the README’s table of findings', () => {
  it('is the list of codes, with the words of the code', () => {
    expect(rows).toEqual(
      findingCodes.map(({ code, opens, clears }) => `| \`${code}\` | ${opens} | ${clears} |`),
    );
  });

  it('holds a row for every check', () => {
    const told = findingCodes.map(({ code }) => code);
    for (const { code } of catalogue) expect(told).toContain(code);
  });
});
