import { importGraph } from './imports.js';
import { isScript, type Rule } from './source-file.js';

/** No chain of imports, of types or values, leads back to where it began. */
export const importCycles: Rule = (files) => {
  const graph = importGraph(files.filter(({ path }) => isScript(path)));
  const state = new Map<string, 'open' | 'done'>();
  const cycles: string[][] = [];
  const visit = (path: string, trail: readonly string[]): void => {
    if (state.get(path) === 'open') {
      cycles.push([...trail.slice(trail.indexOf(path)), path]);
    }
    if (state.has(path)) {
      return;
    }
    state.set(path, 'open');
    for (const next of graph.get(path) ?? []) {
      visit(next, [...trail, path]);
    }
    state.set(path, 'done');
  };
  for (const path of graph.keys()) {
    visit(path, []);
  }
  return cycles.map((cycle) => ({
    path: cycle[0] ?? '',
    line: 0,
    text: `imports in a circle: ${cycle.join(' > ')}; move what both need into a third file`,
  }));
};
