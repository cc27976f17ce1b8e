import { readFileSync } from 'node:fs';
import type { LoadHook } from 'node:module';
import { fileURLToPath } from 'node:url';
import { markedFiles } from './marks.js';
import { withMarks } from './ways.js';

/** Runs in the loader's own thread: puts marks into the files that are measured. */
export const load: LoadHook = async (url, context, nextLoad) => {
  if (!markedFiles.test(url)) return nextLoad(url, context);
  const { code } = withMarks(readFileSync(fileURLToPath(url), 'utf8'), url);
  return { format: 'module', shortCircuit: true, source: code };
};
