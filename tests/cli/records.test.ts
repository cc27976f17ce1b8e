import { afterEach, expect, test, vi } from 'vitest';
import { readCommandLine } from '../../src/cli/options.js';
import { records } from '../../src/cli/records.js';

afterEach(() => vi.restoreAllMocks());

async function printed(argv: readonly string[]): Promise<readonly string[]> {
  const log = vi.spyOn(console, 'log').mockImplementation(() => undefined);
  expect(await records(readCommandLine(argv))).toBe(0);
  return log.mock.calls.map(([line]) => String(line));
}

test('each record in three lines, with its source', async () => {
  const lines = await printed(['records']);
  const at = lines.indexOf('ATA, Link counters 11h, asked for once, when idle');
  expect(lines.slice(at + 1, at + 3)).toEqual([
    '  events on the link since power-on; never cleared',
    '  Source: HGST HC580 p. 212; Hitachi 7K3000 p. 80. Verified by worked bytes.',
  ]);
});

test('what is read beside the drives follows', async () => {
  expect((await printed(['records'])).slice(-3)).toEqual([
    'Module in the plug (SFP, QSFP) (network card)',
    '  what it is, warmth, light sent and received with their limits',
    '  Source: SFF-8472 and SFF-8636 from memory; Linux ethtool.h. Verified by worked bytes.',
  ]);
});

test('one object for programs', async () => {
  const [line = '', ...more] = await printed(['records', '--json']);
  expect(more).toEqual([]);
  const { records: rows } = JSON.parse(line) as { records: { protocol: string }[] };
  expect(new Set(rows.map(({ protocol }) => protocol))).toEqual(new Set(['ATA', 'SCSI', 'NVMe']));
});
