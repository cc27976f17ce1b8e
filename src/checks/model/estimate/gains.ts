import type { BoxModel } from '../parse.js';
import { betterParts } from './better-parts.js';
import { type EstimateKnowledge, estimate } from './estimate.js';
import { type KeyFigure, keyFigures } from './key-figures.js';
import type { Estimate } from './types.js';

/** What one change to a build would improve. */
export interface Gain {
  readonly part: string;
  readonly change: string;
  readonly free: boolean;
  readonly effects: readonly Effect[];
}

export interface Effect {
  readonly key: string;
  readonly words: string;
  readonly unit: KeyFigure['unit'];
  readonly from: number;
  readonly to: number;
}

/** A change that improves nothing by more than this share is not worth a word (our choice). */
const worthShare = 0.05;
/** Two changes of one part this close to each other count as equal: the smaller one suffices. */
const equalShare = 0.01;

/**
 * What better parts, one at a time, would buy: speeds that rise and rebuilds that shorten by more
 * than a twentieth. Of several steps of one part, the smallest that gives all there is to gain.
 * Capacity, protection and price are not improved by such changes and stay out.
 */
export function gainsOf(
  model: BoxModel,
  knowledge: EstimateKnowledge,
  found: Estimate,
): readonly Gain[] {
  const before = new Map(keyFigures(found).map((one): [string, KeyFigure] => [one.key, one]));
  const tried = betterParts(model).map(({ model: changed, ...change }): Gain => {
    const effects = keyFigures(estimate(changed, knowledge)).flatMap((after) =>
      effectOf(before.get(after.key), after),
    );
    return { ...change, effects };
  });
  return smallestSteps(tried.filter(({ effects }) => effects.length > 0));
}

function effectOf(before: KeyFigure | undefined, after: KeyFigure): readonly Effect[] {
  const { key, words, unit, value: to, better } = after;
  const from = before?.value ?? null;
  if (from === null || to === null || (unit !== 'hours' && unit !== 'bytes-per-second')) return [];
  const won = better === 'less' ? from - to : to - from;
  return won > worthShare * from ? [{ key, words, unit, from, to }] : [];
}

/** Keeps the first change of a part whose effects no later change of it betters. */
function smallestSteps(gains: readonly Gain[]): readonly Gain[] {
  return gains.filter((gain, at) => {
    const same = (other: Gain) => other.part === gain.part && other.free === gain.free;
    const earlier = gains.slice(0, at).filter(same);
    const later = gains.slice(at + 1).filter(same);
    return (
      !later.some((other) => betters(other, gain)) && !earlier.some((one) => !betters(gain, one))
    );
  });
}

/** True when a change has an effect that the other lacks, or has clearly less of. */
function betters(one: Gain, other: Gain): boolean {
  return one.effects.some((effect) => {
    const same = other.effects.find(({ key }) => key === effect.key);
    if (same === undefined) return true;
    const [more, less] = effect.unit === 'hours' ? [same.to, effect.to] : [effect.to, same.to];
    return more > less * (1 + equalShare);
  });
}
