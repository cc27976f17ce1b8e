/**
 * Feeds every decoder with damaged records and says what came of it: seed, inputs, counts by
 * decoder, branches of the layouts that were reached. Ends with 1 when a defect was found, or when
 * fewer branches were reached than were asked for.
 */
import { randomInt } from 'node:crypto';
import { parseArgs } from 'node:util';
import { reachedWays, startMarking } from './marks.js';

const { values } = parseArgs({
  options: {
    inputs: { type: 'string', default: '10000000' },
    seed: { type: 'string' },
    only: { type: 'string' },
    canary: { type: 'boolean', default: false },
    branches: { type: 'string', default: '95' },
    missed: { type: 'boolean', default: false },
  },
});
const inputs = wholeOrEnd('inputs', values.inputs);
const seed = wholeOrEnd('seed', values.seed ?? String(randomInt(2 ** 31)));
const branchesWanted = wholeOrEnd('branches', values.branches);

startMarking();
const { allTargets } = await import('./targets/all.js');
const { canaryTarget } = await import('./canary.js');
const { fuzz } = await import('./run.js');

const real = (await allTargets()).filter(
  ({ name }) => values.only === undefined || name.includes(values.only),
);
const targets = values.canary ? [...real, canaryTarget()] : real;
if (targets.length === 0) {
  console.error(`No target has "${values.only}" in its name`);
  process.exit(2);
}
console.log(`seed ${seed}, ${inputs} inputs, ${targets.length} targets`);
const result = fuzz(targets, { seed, inputs });
for (const [name, { inputs: fed, values: good }] of result.byTarget) {
  console.log(`  ${name}: ${fed} inputs, ${good} with a value, ${fed - good} refused`);
}
for (const { target, number, trouble, input } of result.defects) {
  console.log(`DEFECT in ${target}, input ${number}: ${trouble}\n  input ${input.slice(0, 2400)}`);
}
const share = branchShare();
console.log(
  `seed ${seed}: ${result.inputs} inputs, ${result.defects.length} defects, ` +
    `${share.reached} of ${share.all} branches of the layouts reached (${share.percent.toFixed(1)} %)`,
);
if (values.only === undefined && share.percent < branchesWanted) {
  console.log(`Expected at least ${branchesWanted} % of the branches`);
  process.exitCode = 1;
}
if (result.defects.length > 0) process.exitCode = 1;

function branchShare(): {
  readonly reached: number;
  readonly all: number;
  readonly percent: number;
} {
  const ways = reachedWays();
  for (const { path, line, what } of ways.filter(({ isReached }) => !isReached)) {
    if (values.missed) console.log(`  not reached: ${path.split('/').at(-1)}:${line} ${what}`);
  }
  const reached = ways.filter(({ isReached }) => isReached).length;
  return { reached, all: ways.length, percent: (100 * reached) / ways.length };
}

function wholeOrEnd(name: string, text: string): number {
  if (/^\d{1,12}$/.test(text)) return Number(text);
  console.error(`--${name} must be a whole number, found "${text}"`);
  process.exit(2);
}
