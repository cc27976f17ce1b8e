import { importGraph } from './imports.js';
import { type Rule, scriptsBelow } from './source-file.js';

/** Files that are started, not imported. */
export const entries: readonly string[] = [
  'src/cli/main.ts',
  'src/agent/main.ts',
  'src/web/main.ts',
  'src/web/browser/main.ts',
  'src/agent/workers/drive-worker.ts',
  'src/agent/workers/link-worker.ts',
  'src/agent/workers/memory-worker.ts',
];

/** Every file of src is reached from something that is started. */
export const deadFiles: Rule = (files) => {
  const sources = scriptsBelow('src/', files);
  const graph = importGraph(sources);
  const reached = new Set(entries.filter((entry) => graph.has(entry)));
  for (const path of reached) {
    for (const next of graph.get(path) ?? []) reached.add(next);
  }
  return sources
    .filter(({ path }) => !reached.has(path) && !path.endsWith('.d.ts'))
    .map(({ path }) => ({ path, line: 0, text: 'nothing that is started imports it: remove it' }));
};
