/** Each line of the table of import rules with breaches on it and imports that are allowed. */
import { describe, expect, test } from 'vitest';
import { importZones } from './rule-imports.js';

function found(path: string, text: string): readonly string[] {
  return importZones([{ path, text }]).map(({ line, text: why }) => `${line} ${why}`);
}

/** Imports of both kinds: a type counts as much as a value. */
function uses(name: string): readonly string[] {
  return [
    `import { x } from '${name}';`,
    `import type { X } from '${name}';`,
    `import {\n  x,\n  y,\n} from '${name}';`,
    `import '${name}';`,
    `const x = await import('${name}');`,
    `export { x } from '${name}';`,
  ];
}

describe('breaches', () => {
  test.each([
    ['src/checks/judge.ts', '../agent/clock.js'],
    ['src/checks/judge.ts', '../web/app.js'],
    ['src/checks/judge.ts', 'node:fs'],
    ['src/checks/judge.ts', 'zod'],
    ['src/checks/model/parse.ts', 'better-sqlite3'],
    ['src/agent/probes/links.ts', '../box/linux-box.js'],
    ['src/agent/probes/links.ts', '../box/ffi.js'],
    ['src/agent/probes/links.ts', '../main.js'],
    ['src/agent/probes/links.ts', '../../web/app.js'],
    ['src/agent/probes/links.ts', '../../cli/main.js'],
    ['src/agent/probes/links.ts', 'koffi'],
    ['src/agent/burn-in/engine.ts', '../store/write.js'],
    ['src/agent/burn-in/engine.ts', 'better-sqlite3'],
    ['src/agent/schedule/loop.ts', '../box/drive-gate.js'],
    ['src/agent/box/layouts/sat.ts', '../ffi.js'],
    ['src/agent/box/drive-gate.ts', '../store/store.js'],
    ['src/agent/box/drive-gate.ts', 'koffi'],
    ['src/agent/box/ffi.ts', './box.js'],
    ['src/agent/store/read.ts', '../box/box.js'],
    ['src/agent/sampling.ts', './box/linux-box.js'],
    ['src/agent/sampling.ts', './box/ffi.js'],
    ['src/agent/control.ts', '../web/main.js'],
    ['src/agent/control.ts', 'hono'],
    ['src/web/app.ts', '../agent/store/write.js'],
    ['src/web/app.ts', '../agent/store/queries.js'],
    ['src/web/app.ts', '../agent/box/box.js'],
    ['src/web/app.ts', '../agent/clock.js'],
    ['src/web/app.ts', '../agent/probes/collect-pages.js'],
    ['src/web/app.ts', '../cli/main.js'],
    ['src/web/app.ts', 'better-sqlite3'],
    ['src/web/browser/live.ts', '../app.js'],
    ['src/web/browser/live.ts', '../../agent/store/rows.js'],
    ['src/web/browser/live.ts', 'node:fs'],
    ['src/web/browser/live.ts', 'hono'],
    ['src/cli/scan.ts', '../agent/box/linux-box.js'],
    ['src/cli/scan.ts', '../agent/box/ffi.js'],
    ['src/cli/status.ts', '../agent/store/write.js'],
    ['src/cli/status.ts', 'better-sqlite3'],
    ['src/cli/status.ts', '../../tests/box/sim-box.js'],
    ['src/agent/main.ts', '../../tests/box/sim-box.js'],
    ['src/elsewhere/a.ts', './b.js'],
  ])('%s may not import %s', (path, name) => {
    for (const text of uses(name)) {
      expect(found(path, `\n${text}`)).toEqual([expect.stringMatching(/^2 imports /)]);
    }
  });
});

describe('what is allowed', () => {
  test.each([
    ['src/checks/judge.ts', './finding.js'],
    ['src/checks/model/parse.ts', 'zod'],
    ['src/checks/model/parse.ts', 'toml-eslint-parser'],
    ['src/checks/model/parse.ts', '../part.js'],
    ['src/agent/box/ffi.ts', 'koffi'],
    ['src/agent/box/linux-box.ts', './ffi.js'],
    ['src/agent/probes/links.ts', '../box/box.js'],
    ['src/agent/probes/links.ts', '../../checks/part.js'],
    ['src/agent/probes/interpret.ts', '../box/layouts/ata-smart.js'],
    ['src/agent/burn-in/engine.ts', '../store/store.js'],
    ['src/agent/burn-in/engine.ts', '../workers/supervise.js'],
    ['src/agent/schedule/tick.ts', 'node-cron'],
    ['src/agent/store/write.ts', 'better-sqlite3'],
    ['src/agent/main.ts', './store/write.js'],
    ['src/agent/workers/drive-worker.ts', '../box/linux-box.js'],
    ['src/web/app.ts', 'hono'],
    ['src/web/app.ts', '../agent/store/read.js'],
    ['src/web/app.ts', '../agent/store/rows.js'],
    ['src/web/app.ts', '../agent/store/store.js'],
    ['src/web/app.ts', '../agent/control-client.js'],
    ['src/web/app.ts', '../agent/probes/figure-bytes.js'],
    ['src/web/app.ts', '../agent/model-file.js'],
    ['src/web/browser/chart.ts', 'uplot'],
    ['src/web/browser/chart.ts', '../../checks/units.js'],
    ['src/cli/start.ts', '../agent/main.js'],
    ['tests/a.test.ts', '../src/agent/box/linux-box.js'],
  ])('%s may import %s', (path, name) => {
    for (const text of uses(name)) {
      expect(found(path, text)).toEqual([]);
    }
  });

  test('a text that speaks of an import is none', () => {
    expect(found('src/checks/a.ts', `say("import { x } from 'koffi'");`)).toEqual([]);
    expect(found('src/checks/a.ts', `// import { x } from 'koffi'`)).toEqual([]);
  });
});

test('the web reaches nothing of the devices, not even through files that it may import', () => {
  const files = [
    { path: 'src/web/main.ts', text: `import { r } from '../agent/store/read.js';` },
    { path: 'src/agent/store/read.ts', text: `import { q } from './queries.js';` },
    { path: 'src/agent/store/queries.ts', text: '' },
    { path: 'src/agent/store/write.ts', text: '' },
  ];
  expect(importZones(files)).toEqual([]);
  files[2] = { path: 'src/agent/store/queries.ts', text: `import './write.js';` };
  const why = 'the web reaches src/agent/store/write.ts through it';
  expect(importZones(files).map(({ path, text }) => [path, text])).toEqual([
    ['src/agent/store/queries.ts', expect.stringContaining('the agent alone writes the store')],
    ['src/agent/store/queries.ts', why],
  ]);
});

test('the web decodes kept bytes, and reaches no probe that could ask a device', () => {
  const files = [
    { path: 'src/web/main.ts', text: `import { b } from '../agent/probes/figure-bytes.js';` },
    { path: 'src/agent/probes/figure-bytes.ts', text: `import { i } from './interpret.js';` },
    { path: 'src/agent/probes/interpret.ts', text: `import { n } from '../box/layouts/nvme.js';` },
    { path: 'src/agent/box/layouts/nvme.ts', text: '' },
    { path: 'src/agent/box/box.ts', text: '' },
  ];
  expect(importZones(files)).toEqual([]);
  files[2] = {
    path: 'src/agent/probes/interpret.ts',
    text: `import type { Box } from '../box/box.js';`,
  };
  const why = 'the web reaches src/agent/probes/interpret.ts through it';
  expect(importZones(files)).toEqual([
    { path: 'src/agent/probes/figure-bytes.ts', line: 0, text: why },
  ]);
});
