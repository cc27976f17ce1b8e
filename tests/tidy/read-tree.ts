import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { SourceFile } from './source-file.js';

const top = fileURLToPath(new URL('../..', import.meta.url));

const notOurs = new Set(['.git', 'node_modules', 'dist', 'package-lock.json']);

/** Every text file of the repository. */
export function readTree(folder = ''): readonly SourceFile[] {
  return readdirSync(join(top, folder), { withFileTypes: true })
    .filter(({ name }) => !notOurs.has(name))
    .flatMap((entry) => {
      const path = folder === '' ? entry.name : `${folder}/${entry.name}`;
      if (entry.isDirectory()) return readTree(path);
      const bytes = readFileSync(join(top, path));
      return bytes.includes(0) ? [] : [{ path, text: bytes.toString('utf8') }];
    });
}
