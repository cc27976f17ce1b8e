/**
 * Measures what the agent costs a box of 24 simulated drives whose answers lie ready: `idle` tells
 * processor time, `store` tells bytes written. One line for each figure; with --json one object.
 */
import { bytesOfDay } from './a-day.js';
import { fullRounds } from './full-rounds.js';
import { processorMs } from './spent.js';

interface Figure {
  readonly figure: string;
  readonly unit: string;
  readonly samples: readonly number[];
}

async function idle(): Promise<readonly Figure[]> {
  const rounds = await fullRounds();
  const [light, full]: [number[], number[]] = [[], []];
  for (let round = 0; round < 24; round += 1) {
    light.push(await processorMs(() => rounds.fiveMinutes()));
    full.push(await processorMs(() => rounds.counters()));
  }
  rounds.end();
  const unit = 'milliseconds of processor time';
  return [
    { figure: 'all counters of 24 drives, one round', unit, samples: full.slice(4) },
    { figure: 'temperatures, links and requests, one round', unit, samples: light.slice(4) },
  ];
}

/** A day at the usual pace, three times; the first day of a store also makes its series. */
async function store(): Promise<readonly Figure[]> {
  const rounds = await fullRounds();
  const samples: number[] = [];
  for (let day = 0; day < 3; day += 1) {
    samples.push((await bytesOfDay(rounds)) / 1e6);
  }
  rounds.end();
  return [{ figure: 'written by a day with 24 drives', unit: 'megabytes', samples }];
}

const kinds = new Map([
  ['idle', idle],
  ['store', store],
]);

function amountOf({ figure, unit, samples }: Figure) {
  const sorted = samples.toSorted((one, other) => one - other);
  const at = (index: number) => Number((sorted.at(index) ?? Number.NaN).toFixed(2));
  const amount = at(Math.floor(sorted.length / 2));
  return { figure, amount, unit, low: at(0), high: at(-1), runs: sorted.length };
}

const [name = ''] = process.argv.slice(2).filter((word) => word !== '--json');
const measure = kinds.get(name);
if (measure === undefined) {
  console.error(
    `Expected ${[...kinds.keys()].join(' or ')} after "npm run bench --", found "${name}"`,
  );
  process.exitCode = 2;
} else {
  for (const figure of (await measure()).map(amountOf)) {
    const { amount, unit, low, high, runs } = figure;
    const words = `${figure.figure}: ${amount} ${unit} (${low} to ${high} in ${runs} runs)`;
    console.log(process.argv.includes('--json') ? JSON.stringify(figure) : words);
  }
}
