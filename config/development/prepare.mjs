// What `npm start` and `npm test` do first: install if needed, build if needed, and for tests the
// Debian packages that the tests use. Plain JavaScript, since nothing is installed yet.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const top = fileURLToPath(new URL('../..', import.meta.url));
const forTests = process.argv.includes('--for-tests');
const quiet = process.argv.includes('--quiet');

/** Debian packages used by the browser test and the emulated machine, with the file each brings. */
const debianPackages = {
  chromium: '/usr/bin/chromium',
  'qemu-system-x86': '/usr/bin/qemu-system-x86_64',
  'qemu-block-extra': '/usr/lib/x86_64-linux-gnu/qemu/block-iscsi.so',
  'busybox-static': '/bin/busybox',
};

function say(text) {
  if (!quiet) console.error(text);
}

function run(command, args, extraEnvironment = {}) {
  const result = spawnSync(command, args, {
    cwd: top,
    stdio: ['ignore', quiet ? 'ignore' : 2, 2],
    env: { ...process.env, ...extraEnvironment },
  });
  if (result.status !== 0) {
    console.error(`Preparing stopped: "${command} ${args.join(' ')}" did not finish (see above)`);
    process.exit(result.status ?? 1);
  }
}

/** The addon of SQLite compiles against the running Node's own headers where they are installed. */
function headersOfThisNode() {
  const prefix = dirname(dirname(process.execPath));
  return existsSync(join(prefix, 'include/node/node_version.h'))
    ? { npm_config_nodedir: prefix }
    : {};
}

function installIfNeeded() {
  const lock = readFileSync(join(top, 'package-lock.json'));
  const wanted = createHash('sha256').update(lock).update(process.version).digest('hex');
  const stampFile = join(top, 'node_modules/.bayward-installed');
  if (existsSync(stampFile) && readFileSync(stampFile, 'utf8') === wanted) return;
  say('Installing the packages (once; compiling the SQLite addon takes a minute or two) ...');
  run('npm', ['ci', '--no-audit', '--no-fund', '--no-update-notifier'], headersOfThisNode());
  writeFileSync(stampFile, wanted);
}

function newestChangeMs(folder) {
  let newest = 0;
  for (const entry of readdirSync(folder, { withFileTypes: true, recursive: true })) {
    if (!entry.isFile()) continue;
    newest = Math.max(newest, statSync(join(entry.parentPath ?? entry.path, entry.name)).mtimeMs);
  }
  return newest;
}

function buildIfNeeded() {
  const stampFile = join(top, 'dist/.built');
  const sources = [join(top, 'src'), join(top, 'tests'), join(top, 'config')].map(newestChangeMs);
  const newest = Math.max(...sources, statSync(join(top, 'tsconfig.json')).mtimeMs);
  if (existsSync(stampFile) && Number(readFileSync(stampFile, 'utf8')) === newest) return;
  say('Building ...');
  run(process.execPath, ['config/development/build.mjs']);
  mkdirSync(join(top, 'dist'), { recursive: true });
  writeFileSync(stampFile, String(newest));
}

function installDebianPackagesIfNeeded() {
  const missing = Object.entries(debianPackages).filter(([, file]) => !existsSync(file));
  if (missing.length === 0) return;
  const names = missing.map(([name]) => name);
  const mayInstall = process.getuid?.() === 0 && existsSync('/etc/debian_version');
  if (!mayInstall) {
    console.error(`Missing Debian packages: ${names.join(' ')}. Tests that need them are skipped`);
    console.error(`Hint: as root, apt-get install --no-install-recommends ${names.join(' ')}`);
    return;
  }
  say(`Installing Debian packages for the tests: ${names.join(' ')} ...`);
  const apt = { DEBIAN_FRONTEND: 'noninteractive' };
  run('apt-get', ['update', '-qq'], apt);
  run('apt-get', ['install', '-y', '-qq', '--no-install-recommends', ...names], apt);
}

installIfNeeded();
buildIfNeeded();
if (forTests) installDebianPackagesIfNeeded();
