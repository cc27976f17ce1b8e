import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { parseModel } from '../../src/checks/model/parse.js';
import type { Inventory } from '../../src/checks/part.js';
import { UserError } from '../../src/checks/user-error.js';
import { scanCommand } from '../../src/cli/scan.js';
import { writeNewFile } from '../../src/cli/write-new-file.js';
import { makeController, makeDrive, makeInventory } from '../checks/model/make-inventory.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'bayward-scan-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

const sata = makeController({ id: 'disk-controller-00-17-0', pciAddress: '0000:00:17.0' });
const drive = makeDrive({
  id: 'LK-1',
  controller: sata.id,
  port: '1',
  notVisibleWhy: 'The controller wraps the drive',
});
const box = makeInventory({
  controllers: [sata],
  drives: [drive],
  emptyWhy: { fans: 'No chip with a fan input is known' },
});

async function scan(inventory: Inventory, options: { json?: boolean } = {}) {
  const modelPath = join(folder, 'deep', 'box.toml');
  const lines: string[] = [];
  const code = await scanCommand({
    inventory: async () => inventory,
    modelPath,
    readModel: () => readModel(modelPath),
    writeNew: (text) => writeNewFile(modelPath, text),
    today: '2026-01-20',
    print: (line) => lines.push(line),
    json: options.json ?? false,
  });
  return { code, text: lines.join('\n'), lines, modelPath };
}

function readModel(path: string) {
  try {
    const parsed = parseModel(readFileSync(path, 'utf8'), path);
    return 'model' in parsed ? parsed.model : null;
  } catch {
    return null;
  }
}

describe('scan', () => {
  it('lists parts and reasons, and writes the first model', async () => {
    const { code, text, modelPath } = await scan(box);
    expect(code).toBe(0);
    expect(text).toContain('LK-1: Larkspur Archive 8000, 8 TB; port disk-controller-00-17-0.1');
    expect(text).toContain('health not visible: The controller wraps the drive');
    expect(text).toContain('No chip with a fan input is known');
    expect(text).toContain(`A first model of this box was written to ${modelPath}.`);
    expect(text).not.toContain('sda');
    expect(readModel(modelPath)?.drives[0]?.serial).toBe('LK-1');
  });

  it('never touches a model that is there, and tells what differs', async () => {
    const { modelPath } = await scan(box);
    const written = readFileSync(modelPath, 'utf8');
    expect((await scan(box)).text).toContain('The box agrees with its model');
    const { code, text } = await scan({ ...box, drives: [makeDrive({ id: 'TV-9' })] });
    expect(code).toBe(1);
    expect(text).toContain('Drive LK-1 (8 TB) is in the model but was not found in the box');
    expect(text).toContain('Drive TV-9 (Larkspur Archive 8000, 8 TB) is in the box but not in the');
    expect(readFileSync(modelPath, 'utf8')).toBe(written);
  });

  it('gives programs one object per line, without kernel names', async () => {
    const { lines } = await scan(box, { json: true });
    const rows = lines.map((line) => JSON.parse(line));
    expect(rows.map(({ kind }) => kind)).toEqual([
      'machine',
      'drive',
      'disk-controller',
      'empty',
      'model',
    ]);
    expect(lines.join('')).not.toContain('sda');
    const moved = await scan({ ...box, drives: [] }, { json: true });
    expect(moved.lines.map((line) => JSON.parse(line)).at(-2)).toMatchObject({
      kind: 'remark',
      difference: 'missing',
      subject: 'LK-1',
    });
  });
});

describe('writeNewFile', () => {
  it('writes the whole file, leaves nothing beside it, and replaces none', () => {
    const path = join(folder, 'a', 'b', 'box.toml');
    writeNewFile(path, 'first');
    expect(() => writeNewFile(path, 'second')).toThrow(/never replaced/);
    expect(readFileSync(path, 'utf8')).toBe('first');
    expect(readdirSync(join(folder, 'a', 'b'))).toEqual(['box.toml']);
  });

  it('turns a failure into an error with a hint', () => {
    writeFileSync(join(folder, 'file'), '');
    try {
      writeNewFile(join(folder, 'file', 'box.toml'), 'text');
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(UserError);
      expect((error as UserError).hint).toContain('Name another file');
    }
  });
});
