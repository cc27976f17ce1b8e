import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { type BootFiles, type LabCase, openLab } from './case.js';
import { bridges } from './cases/bridges.js';
import { burnIn } from './cases/burn-in.js';
import { comesAndGoes } from './cases/comes-and-goes.js';
import { kernelLog } from './cases/kernel-log.js';
import { management } from './cases/management.js';
import { md } from './cases/md.js';
import { readings } from './cases/readings.js';
import { silent } from './cases/silent.js';
import { smoke } from './cases/smoke.js';
import { Checks } from './checks.js';
import { buildArchive } from './machine/archive.js';
import { fetchKernel } from './machine/kernel.js';
import { projectFolder } from './machine/places.js';
import { Skipped } from './machine/skipped.js';

const cases: readonly LabCase[] = [
  smoke,
  readings,
  silent,
  burnIn,
  management,
  comesAndGoes,
  md,
  kernelLog,
  bridges,
];

const { values } = parseArgs({
  options: { only: { type: 'string' }, quick: { type: 'boolean', default: false } },
});
const chosen = cases.filter(
  (one) =>
    (values.only === undefined || one.name === values.only) && (!values.quick || one.isQuick),
);
if (chosen.length === 0) {
  console.error(`No case is called "${values.only}"; cases: ${cases.map((one) => one.name)}`);
  process.exit(2);
}

for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) {
  process.on(signal, () => process.exit(1));
}
const checks = new Checks();
const folder = mkdtempSync(join(tmpdir(), 'bayward-lab-'));
try {
  const files = await bootFiles();
  for (const one of chosen) await runCase(one, files);
} catch (error) {
  report('machine', error);
} finally {
  if (checks.failed === 0) rmSync(folder, { recursive: true, force: true });
  else console.log(`Consoles and logs are kept in ${folder}`);
}
console.log(`${checks.passed} passed, ${checks.failed} failed`);
process.exitCode = isEnough() ? 0 : 1;

async function bootFiles(): Promise<BootFiles> {
  const kernel = await fetchKernel();
  return { image: kernel.image, archive: await buildArchive(kernel, folder) };
}

async function runCase(one: LabCase, files: BootFiles): Promise<void> {
  const started = performance.now();
  const lab = openLab(one.name, { checks, above: folder, files });
  try {
    await one.run(lab);
  } catch (error) {
    report(one.name, error);
  } finally {
    await lab.close();
  }
  console.log(`(${one.name} took ${Math.round((performance.now() - started) / 1000)} s)`);
}

function report(name: string, error: unknown): void {
  if (error instanceof Skipped) checks.skip(name, error.message);
  else checks.fail(name, error instanceof Error ? (error.stack ?? error.message) : String(error));
}

/** A whole run must bring at least the number of checks that is kept beside the cases. */
function isEnough(): boolean {
  const isWhole = values.only === undefined && !values.quick;
  const kept = Number(readFileSync(join(projectFolder(), 'tests/lab/expected'), 'utf8'));
  const least = isWhole && checks.skipped === 0 ? kept : 0;
  if (checks.passed < least) {
    console.error(`Expected at least ${least} checks to pass, found ${checks.passed}`);
  }
  const mayskip = process.env.CI === undefined || process.env.CI === '' || checks.skipped === 0;
  return checks.failed === 0 && checks.passed >= least && mayskip;
}
