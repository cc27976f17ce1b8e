/** Which files and packages each script imports, types and values alike. */
import { posix } from 'node:path';
import type { SourceFile } from './source-file.js';
import { placesOf } from './source-file.js';
import { splitText } from './split-text.js';

export interface Import {
  readonly line: number;
  /** As written. */
  readonly name: string;
  /** Path of the imported file from the top, or null for a package. */
  readonly target: string | null;
}

const forms = [
  /\b(?:import|export)\b[^'"`;]*?\bfrom\s*['"]([^'"]+)['"]/,
  /\bimport\s*['"]([^'"]+)['"]/,
  /\bimport\(\s*['"]([^'"]+)['"]/,
  /\brequire\(\s*['"]([^'"]+)['"]/,
];

/** Several rules ask for the imports of the same file. */
const known = new WeakMap<SourceFile, readonly Import[]>();

export function importsOf(file: SourceFile): readonly Import[] {
  const found = known.get(file) ?? findImports(file);
  known.set(file, found);
  return found;
}

function findImports(file: SourceFile): readonly Import[] {
  const { code, codeWithStrings } = splitText(file.text);
  return forms.flatMap((form) =>
    placesOf(form, codeWithStrings).flatMap(({ match, line }): Import[] => {
      const name = match[1] ?? '';
      // The words must stand in code, not in a text that speaks of imports.
      const isCode = code.slice(match.index, match.index + 6).trim() !== '';
      return isCode ? [{ line, name, target: targetOf(file.path, name) }] : [];
    }),
  );
}

function targetOf(path: string, name: string): string | null {
  return name.startsWith('.') ? posix.join(posix.dirname(path), name) : null;
}

/** The graph of imports: each script's path to the paths that it imports, as far as they exist. */
export function importGraph(files: readonly SourceFile[]): ReadonlyMap<string, readonly string[]> {
  const known = new Set(files.map(({ path }) => path));
  return new Map(
    files.map((file) => [
      file.path,
      importsOf(file).flatMap(({ target }) => {
        const found = target === null ? undefined : sourceOf(target, known);
        return found === undefined ? [] : [found];
      }),
    ]),
  );
}

/** "x.js" is what the compiler makes of "x.ts" or "x.tsx". */
function sourceOf(target: string, known: ReadonlySet<string>): string | undefined {
  const stem = target.replace(/\.js$/, '');
  return [`${stem}.ts`, `${stem}.tsx`, target].find((path) => known.has(path));
}
