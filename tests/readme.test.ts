import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { catalogue } from '../src/checks/catalogue.js';
import { findingCodes } from '../src/checks/finding-codes.js';
import { recordRows } from '../src/checks/records.js';
import { boxRecordRows } from '../src/checks/records-box.js';

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

it('the README’s second table of records is the list of what is read beside the drives', () => {
  const table = readme.split('<!-- box-records:start -->')[1]?.split('<!-- box-records:end -->')[0];
  const told = table?.split('\n').filter((line) => line.startsWith('| ')) ?? [];
  expect(told.slice(2)).toEqual(
    boxRecordRows.map(
      ({ from, record, taken, source, verified }) =>
        `| ${from} | ${record} | ${taken} | ${source} | ${verified} |`,
    ),
  );
});

describe('the README’s table of records', () => {
  const records = readme.split('<!-- records:start -->')[1]?.split('<!-- records:end -->')[0] ?? '';

  it('is the list of records', () => {
    const told = records.split('\n').filter((line) => /^\| (ATA|SCSI|NVMe) /.test(line));
    expect(told).toEqual(
      recordRows.map(({ protocol, record, taken, source, verified, rare }) => {
        const asked = rare === true ? 'once, when idle' : 'every round';
        return `| ${protocol} | ${record} | ${taken} | ${asked} | ${source} | ${verified} |`;
      }),
    );
  });

  it('names each record once', () => {
    const names = recordRows.map(({ protocol, record }) => `${protocol} ${record}`);
    expect(new Set(names).size).toBe(names.length);
  });
});
