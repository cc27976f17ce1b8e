// Compiles src and tests into dist, and bundles the page's own script and style.
import { spawnSync } from 'node:child_process';
import { rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const top = fileURLToPath(new URL('../..', import.meta.url));
const require = createRequire(join(top, 'package.json'));

function compile(project) {
  const tsc = join(dirname(require.resolve('typescript/package.json')), 'bin', 'tsc');
  const run = spawnSync(process.execPath, [tsc, '-p', project], { cwd: top, stdio: 'inherit' });
  if (run.status !== 0) {
    console.error(`Build stopped: the type check of ${project} failed (see above)`);
    process.exit(run.status ?? 1);
  }
}

async function bundlePage() {
  const { build } = await import('esbuild');
  await build({
    absWorkingDir: top,
    entryPoints: { page: 'src/web/browser/main.ts', style: 'src/web/browser/style.css' },
    bundle: true,
    minify: true,
    format: 'esm',
    target: 'es2022',
    outdir: 'dist/src/web/assets',
    logLevel: 'warning',
  });
}

rmSync(join(top, 'dist'), { recursive: true, force: true });
compile('tsconfig.json');
compile('config/development/tsconfig.browser.json');
await bundlePage();
