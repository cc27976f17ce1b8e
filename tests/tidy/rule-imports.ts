/** Who may import whom (the design's table of import rules). */
import { importGraph, importsOf } from './imports.js';
import { type Breach, type Rule, type SourceFile, scriptsBelow } from './source-file.js';

interface Zone {
  readonly from: RegExp;
  /** Files that it may import. */
  readonly files: RegExp;
  /** Packages that it may import, beside Node's own where `node` says so. */
  readonly packages: RegExp;
  readonly node: boolean;
}

const nothing = /^$/;

/** The first zone that fits a file holds for it. */
const zones: readonly Zone[] = [
  {
    from: /^src\/checks\/model\//,
    files: /^src\/checks\//,
    packages: /^(zod|toml-eslint-parser)$/,
    node: false,
  },
  { from: /^src\/checks\//, files: /^src\/checks\//, packages: nothing, node: false },
  { from: /^src\/agent\/box\/ffi\.ts$/, files: nothing, packages: /^koffi$/, node: true },
  {
    from: /^src\/agent\/box\/layouts\//,
    files: /^src\/(checks\/|agent\/box\/(layouts\/|box\.js$))/,
    packages: /^zod$/,
    node: true,
  },
  {
    from: /^src\/agent\/box\//,
    files: /^src\/(checks\/|agent\/box\/|agent\/clock\.js$)/,
    packages: /^systeminformation$/,
    node: true,
  },
  {
    from: /^src\/agent\/store\//,
    files: /^src\/(checks\/|agent\/(store\/|clock\.js$))/,
    packages: /^(better-sqlite3|zod)$/,
    node: true,
  },
  {
    from: /^src\/agent\/(probes|burn-in|speed|schedule)\//,
    files:
      /^src\/(checks\/|agent\/(probes|burn-in|speed|schedule|store|workers|box\/layouts)\/|agent\/(box\/box|clock|instant|latest-value)\.js$)/,
    packages: /^(zod|node-cron)$/,
    node: true,
  },
  {
    from: /^src\/agent\//,
    files: /^src\/(checks|agent)\//,
    packages: /^zod$/,
    node: true,
  },
  {
    from: /^src\/web\/browser\//,
    files: /^src\/(checks|web\/browser)\//,
    packages: /^(hono\/jsx(\/dom)?(\/.*)?|uplot)$/,
    node: false,
  },
  {
    from: /^src\/web\//,
    files:
      /^src\/(checks\/|web\/|agent\/(control-client|model-file|part-classes|store\/(read|rows|store)|probes\/figure-(bytes|effect))\.js$)/,
    packages: /^(hono(\/.*)?|@hono\/node-server(\/.*)?|zod)$/,
    node: true,
  },
  { from: /^src\/cli\//, files: /^src\//, packages: /^zod$/, node: true },
];

/** Files that only those named may import. */
const reserved: readonly { readonly file: RegExp; readonly by: RegExp; readonly why: string }[] = [
  {
    file: /^src\/agent\/box\/ffi\.js$/,
    by: /^src\/agent\/(box\/[a-z-]+|control|workers\/(link|memory)-worker)\.ts$/,
    why: 'only the seam and its named neighbours reach the foreign-function library',
  },
  {
    file: /^src\/agent\/box\/linux-box\.js$/,
    by: /^src\/agent\/(main|this-box|workers\/drive-worker)\.ts$/,
    why: 'take a Box; the real one is made by agent/main and the drive worker alone',
  },
  {
    file: /^src\/agent\/store\/write\.js$/,
    by: /^src\/agent\/main\.ts$/,
    why: 'the agent alone writes the store; read it through agent/store/read',
  },
];

export const importZones: Rule = (files) => [
  ...scriptsBelow('src/', files).flatMap(breachesOf),
  ...webReach(files),
];

function breachesOf(file: SourceFile): readonly Breach[] {
  const zone = zones.find(({ from }) => from.test(file.path));
  return importsOf(file).flatMap(({ line, name, target }) => {
    const why =
      zone === undefined ? 'no zone is set for this folder' : refusal(file, zone, { name, target });
    return why === null ? [] : [{ path: file.path, line, text: `imports ${name}: ${why}` }];
  });
}

function refusal(
  file: SourceFile,
  zone: Zone,
  { name, target }: { name: string; target: string | null },
): string | null {
  if (target === null) {
    const allowed = name.startsWith('node:') ? zone.node : zone.packages.test(name);
    return allowed ? null : 'this package may not be used here';
  }
  if (target.startsWith('tests/')) {
    return 'src never imports tests';
  }
  if (!zone.files.test(target)) {
    return 'outside of what this folder may import';
  }
  const held = reserved.find((one) => one.file.test(target) && !one.by.test(file.path));
  return held?.why ?? null;
}

const outOfReach = /^src\/agent\/(box\/(?!layouts\/|box\.ts$)|workers\/|store\/write)/;

/** Probes that decode bytes are pure; one that knows the seam can ask a device. */
function asksDevices(path: string, graph: ReadonlyMap<string, readonly string[]>): boolean {
  const isProbe = path.startsWith('src/agent/probes/');
  return isProbe && (graph.get(path) ?? []).includes('src/agent/box/box.ts');
}

/** No path of imports leads from the web's entry to devices, children or the store's writer. */
function webReach(files: readonly SourceFile[]): readonly Breach[] {
  const graph = importGraph(scriptsBelow('src/', files));
  const entry = 'src/web/main.ts';
  const from = new Map<string, string>([[entry, '']]);
  for (const [path] of from) {
    for (const next of graph.get(path) ?? []) {
      if (!from.has(next)) from.set(next, path);
    }
  }
  return [...from]
    .filter(([path]) => outOfReach.test(path) || asksDevices(path, graph))
    .map(([path, by]) => ({ path: by, line: 0, text: `the web reaches ${path} through it` }));
}
