import { spawnSync } from 'node:child_process';
import { randomInt } from 'node:crypto';
import { expect, test } from 'vitest';
import { makeChance } from './chance.js';
import { u8 } from './limits.js';
import { damagedPage } from './mutate-bytes.js';
import { fuzz } from './run.js';
import { joinedTarget, textTarget } from './target.js';

function ran(...options: readonly string[]): { readonly status: number | null; text: string } {
  const { status, stdout } = spawnSync(process.execPath, ['dist/tests/fuzz/main.js', ...options], {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  return { status, text: stdout };
}

const minuteMs = 60_000;

test('damaged records of every kind end in a value or a typed error, and reach the branches', {
  timeout: 10 * minuteMs,
}, () => {
  const { status, text } = ran('--seed', '20260214', '--inputs', '1200000');
  expect(text).not.toContain('DEFECT');
  expect(text).toMatch(/seed 20260214: \d{7} inputs, 0 defects, \d+ of \d+ branches/);
  expect(status).toBe(0);
});

test('and so do those of a seed that nobody chose', { timeout: 10 * minuteMs }, () => {
  const seed = randomInt(2 ** 31);
  const { status, text } = ran('--seed', String(seed), '--inputs', '300000', '--branches', '0');
  console.log(`Fuzzed with seed ${seed}`);
  expect(text, `seed ${seed}`).not.toContain('DEFECT');
  expect(status).toBe(0);
});

test('a defect on purpose is found, and only that one', { timeout: 5 * minuteMs }, () => {
  const { status, text } = ran('--canary', '--only', 'canary', '--seed', '7', '--inputs', '100000');
  expect(text).toMatch(/DEFECT in canary, input \d+: value is not a number/);
  expect(status).toBe(1);
});

/** Each kind of fault has something that sees it. */
const faults = {
  'an error of another kind': [() => JSON.parse('{'), /it threw SyntaxError/],
  'a number that is none': [() => ({ count: Number.NaN }), /count is not a number/],
  'an endless number': [() => ({ count: 1 / 0 }), /count is Infinity, outside of its field/],
  'a negative counter': [() => ({ count: -1 }), /count is -1, outside of its field/],
  'more than its field holds': [() => ({ count: 256 }), /count is 256, outside of its field/],
  'half a count': [() => ({ count: 0.5 }), /count is 0.5, not a whole number/],
  'a number that nobody bounded': [() => ({ other: 1 }), /other is a number without a limit/],
  'no value at all': [() => ({ count: undefined }), /count is undefined/],
} as const satisfies Record<string, readonly [() => unknown, RegExp]>;

test.each(Object.entries(faults))('%s is seen', (_name, [run, trouble]) => {
  const target = joinedTarget([], run, {
    name: 'faulty',
    seeds: [new Uint8Array(8)],
    limits: { count: u8 },
  });
  const { defects } = fuzz([target], { seed: 1, inputs: 10 });
  expect(defects).toMatchObject([{ target: 'faulty', number: 1 }]);
  expect(defects[0]?.trouble).toMatch(trouble);
});

test('what reads past the end of its page is seen', () => {
  const run = (page: Uint8Array) => ({ count: new Uint8Array(page.buffer)[0] ?? 0 });
  const seeds = [new Uint8Array(8)];
  const target = joinedTarget([], run, { name: 'reaching', seeds, limits: { count: u8 } });
  const { defects } = fuzz([target], { seed: 1, inputs: 40 });
  expect(defects).toMatchObject([{ trouble: 'it depends on bytes past the end of the page' }]);
});

test('what never ends and what takes too long are seen', () => {
  const limits = { inputMsMax: 5, stretchMsMax: 300 };
  const forever = textTarget(
    () => {
      for (let turn = 0; turn >= 0; turn = 1 - turn);
    },
    { name: 'endless', seeds: ['x'], limits: {} },
  );
  const slow = textTarget(
    () => {
      const before = process.cpuUsage();
      while (process.cpuUsage(before).user < 12_000);
      return null;
    },
    { name: 'slow', seeds: ['x'], limits: {} },
  );
  const { defects } = fuzz([forever, slow], { seed: 1, inputs: 10 }, limits);
  expect(defects).toMatchObject([
    { target: 'endless', trouble: 'it does not come to an end' },
    { target: 'slow', trouble: 'it takes longer than 5 ms' },
  ]);
});

test('the same seed makes the same inputs, another makes others', () => {
  const inputs = (seed: number) => {
    const chance = makeChance(seed, 'decodeSmartData');
    const seeds = [Uint8Array.from({ length: 512 }, (_, index) => index & 0xff)];
    return Array.from({ length: 50 }, () =>
      Buffer.from(damagedPage(seeds, chance, null)).toString('hex'),
    );
  };
  expect(inputs(4)).toEqual(inputs(4));
  expect(inputs(4)).not.toEqual(inputs(5));
});
