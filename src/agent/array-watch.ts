import type { ArraySeen, Inventory, PartReadings } from '../checks/part.js';
import type { Box } from './box/box.js';
import { readArrays } from './probes/arrays.js';
import { seeArrays } from './probes/see-arrays.js';

/** Figures that are states: what an array does and what is missing, not how far it is. */
const stateMetrics: readonly string[] = [
  'array-state',
  'array-members-missing',
  'array-work',
  'array-member-state',
];

/** Work that ends within this is looked at each time, so that its end is not taken for a stop. */
const nearEndSeconds = 600;

/** What the schedule must do at once because of an array. */
export interface ArrayNews {
  /** Another array, or other members, than the inventory holds. */
  readonly survey: boolean;
  readonly read: boolean;
}

/**
 * Looks at each tick, from kernel files alone and without storing anything, whether an array is not
 * as it was. The look after a change is read too: a finding opens after the same answer twice.
 */
export class ArrayWatch {
  readonly #box: Box;
  /** Before the first look nothing is known, so what is there then counts as a change. */
  #signs = signsOf([]);
  #wasChanged = false;
  /** What the newest survey was asked for: one that finds it no better is not asked for again. */
  #surveyedFor: string | null = null;

  constructor(box: Box) {
    this.#box = box;
  }

  async look({ drives, arrays = [] }: Inventory): Promise<ArrayNews> {
    const found = await seeArrays(this.#box, drives);
    const parts = await readArrays(this.#box, { drives, arrays: found });
    const signs = signsOf(parts);
    const isChanged = signs !== this.#signs;
    const read = isChanged || this.#wasChanged || parts.some(isNearEnd);
    this.#signs = signs;
    this.#wasChanged = isChanged;
    const shape = shapeOf(found);
    const survey = shape !== shapeOf(arrays) && shape !== this.#surveyedFor;
    if (survey) this.#surveyedFor = shape;
    return { survey, read };
  }
}

function shapeOf(arrays: readonly ArraySeen[]): string {
  const lines = arrays.map(({ identityKey, members }) => `${identityKey} ${members.join(' ')}`);
  return lines.sort().join('\n');
}

function isNearEnd({ readings }: PartReadings): boolean {
  const left = readings.find(({ metric }) => metric === 'array-work-left')?.value ?? null;
  return left !== null && left <= nearEndSeconds;
}

function signsOf(parts: readonly PartReadings[]): string {
  return JSON.stringify(
    parts.map(({ identityKey, readings }) => [
      identityKey,
      readings.flatMap(({ metric, place, value }) =>
        stateMetrics.includes(metric) ? [[metric, place, value]] : [],
      ),
    ]),
  );
}
