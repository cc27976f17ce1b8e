import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { speedTrace } from '../../src/cli/speed-trace.js';
import { makeTrace } from '../checks/trace/made-trace.js';

describe('speed trace', () => {
  const folder = mkdtempSync(join(tmpdir(), 'bayward-trace-'));
  const file = join(folder, 'copy.csv');
  const made = makeTrace(3);

  beforeAll(() => {
    const rows = made.points.map(({ seconds, bytes }) => `${seconds.toFixed(3)},${bytes}`);
    writeFileSync(file, `seconds,bytes\n${rows.join('\n')}\n`);
  });
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  function printed(
    json: boolean,
    name = file,
  ): { readonly code: number; readonly lines: string[] } {
    const lines: string[] = [];
    const spy = vi.spyOn(console, 'log').mockImplementation((line: string) => {
      lines.push(line);
    });
    try {
      return { code: speedTrace(name, json), lines };
    } finally {
      spy.mockRestore();
    }
  }

  it('prints a stretch a line, in the shape of a measured speed', () => {
    const { code, lines } = printed(true);
    const rows = lines.map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(code).toBe(0);
    expect(rows.map(({ part }) => part)).toEqual(
      made.dipSeconds > 0 ? ['memory', 'dip', 'sustained'] : ['memory', 'sustained'],
    );
    expect(rows[0]).toMatchObject({ path: `trace:${file}`, direction: 'write', place: 0 });
    const kept = Number(rows.at(-1)?.bytesPerSecond);
    expect(Math.abs(kept / made.driveBytesPerSecond - 1)).toBeLessThan(0.05);
  });

  it('prints words for people', () => {
    expect(printed(false).lines.at(-1)).toMatch(/had been taken in and not yet passed on/);
  });

  it('names a file that is not there, and one that is a folder', () => {
    expect(() => printed(false, join(folder, 'none.csv'))).toThrow(/is not there$/);
    expect(() => printed(false, folder)).toThrow(/is no file$/);
  });
});
