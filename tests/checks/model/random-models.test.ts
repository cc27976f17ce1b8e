import { randomInt } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type DriveClass, parseClasses } from '../../../src/checks/model/classes.js';
import { enoughOf } from '../../../src/checks/model/estimate/enough.js';
import { estimate } from '../../../src/checks/model/estimate/estimate.js';
import type { Estimate, PathEstimate } from '../../../src/checks/model/estimate/types.js';
import { wayOfData } from '../../../src/checks/model/estimate/way-of-data.js';
import { type BoxModel, parseModel } from '../../../src/checks/model/parse.js';
import { breakModel, plants } from './planted-faults.js';
import { randomModel, writeModel } from './random-model.js';

const models = 1000;
const secondsMax = 2;
/** Fixed, so that a failure can be looked at again; the other one is new in each run. */
const fixedSeed = 20_260_301;
const newSeed = randomInt(1_000_000_000);

function classes(): readonly DriveClass[] {
  const file = new URL('../../../config/part-classes.toml', import.meta.url);
  const parsed = parseClasses(readFileSync(file, 'utf8'));
  if ('complaints' in parsed) throw new Error('The part classes are not sound');
  return parsed.classes;
}

function soundModel(seed: number): BoxModel {
  const { text } = writeModel(randomModel(seed));
  const parsed = parseModel(text, 'box.toml');
  if ('model' in parsed) return parsed.model;
  const complaints = parsed.complaints.map((one) => one.text).join('\n');
  throw new Error(`Seed ${seed}: ${complaints}\n${text}`);
}

/** Where a figure stands that is no finite number. */
function notFinite(value: unknown, at: string): readonly string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [at];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => notFinite(inner, `${at}.${key}`));
}

function limitIsSmallest({ stages, limit }: PathEstimate): boolean {
  const least = Math.min(...stages.map(({ bytesPerSecond }) => bytesPerSecond));
  return (limit?.bytesPerSecond ?? Number.POSITIVE_INFINITY) === least;
}

describe.each([fixedSeed, newSeed])('random models from seed %d', (firstSeed) => {
  it('are all reckoned, in less than two seconds for a thousand', () => {
    const knowledge = { classes: classes() };
    const sound = Array.from({ length: models }, (_, at) => soundModel(firstSeed + at));
    // Neighbours slow a round down and nothing makes one faster, so the best of three counts.
    let found: readonly Estimate[] = [];
    let least = Number.POSITIVE_INFINITY;
    for (let round = 0; round < 3 && least >= secondsMax; round += 1) {
      const started = process.cpuUsage();
      found = sound.map((model) => estimate(model, knowledge));
      const spent = process.cpuUsage(started);
      least = Math.min(least, (spent.user + spent.system) / 1e6);
    }
    expect(found).toHaveLength(models);
    expect(least).toBeLessThan(secondsMax);
    for (const [at, one] of found.entries()) {
      const wrong = one.paths.filter((path) => !limitIsSmallest(path)).map(({ path }) => path);
      expect([...wrong, ...notFinite(one, `seed ${firstSeed + at}`)]).toEqual([]);
    }
  });

  it('can be drawn and judged', () => {
    const knowledge = { classes: classes() };
    for (let at = 0; at < models / 5; at += 1) {
      const model = soundModel(firstSeed + at);
      const found = estimate(model, knowledge);
      const { nodes, lines } = wayOfData(model, found);
      const known = new Set(nodes.map(({ id }) => id));
      expect(lines).toHaveLength(model.drives.length + model.clients.length);
      expect(lines.flat().every((id) => known.has(id))).toBe(true);
      for (const { carries, needed } of enoughOf(model, found)) {
        expect(needed).toBeLessThanOrEqual(carries);
      }
    }
  });

  it('with one planted fault have its line and key among the complaints', () => {
    const planted = new Set<string>();
    for (let at = 0; at < models; at += 1) {
      const broken = breakModel(randomModel(firstSeed + at), firstSeed - at);
      planted.add(broken.fault);
      const parsed = parseModel(broken.text, 'box.toml');
      const complaints = 'complaints' in parsed ? parsed.complaints : [];
      const places = complaints.map(({ line, key }) => ({ line, key }));
      const what = `seed ${firstSeed + at}, ${broken.fault}`;
      expect(places, what).toContainEqual({ line: broken.line, key: broken.key });
    }
    expect([...planted].sort()).toEqual(Object.keys(plants).sort());
  });
});
