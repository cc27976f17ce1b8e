import { nearestName } from '../../../checks/model/nearest-name.js';
import { exitCodes, UserError } from '../../../checks/user-error.js';

/** One JSON object whose keys are not yet believed. */
export type Thing = Readonly<Record<string, unknown>>;

export function damaged(text: string, hint?: string): UserError {
  return new UserError('capture-refused', text, {
    exitCode: exitCodes.badInput,
    ...(hint === undefined ? {} : { hint }),
  });
}

export function asThing(value: unknown, name: string): Thing {
  if (typeof value === 'object' && value !== null && !Array.isArray(value)) return { ...value };
  throw damaged(`${name} must be a JSON object`);
}

export function asList(value: unknown, options: { name: string; most: number }): unknown[] {
  if (!Array.isArray(value)) throw damaged(`${options.name} must be a list`);
  if (value.length > options.most) {
    throw damaged(`${options.name} has ${value.length} entries, expected at most ${options.most}`);
  }
  return value;
}

export function asText(value: unknown, name: string): string {
  if (typeof value !== 'string' || value.trim() === '') {
    throw damaged(`${name} must be a text that is not empty`);
  }
  // A terminal would obey control characters that a hostile file brings.
  if (/\p{Cc}/u.test(value)) throw damaged(`${name} holds control characters`);
  if (value.length > 1000) throw damaged(`${name} is longer than 1000 characters`);
  return value;
}

export function asNumber(value: unknown, options: { name: string; most: number }): number {
  const whole = typeof value === 'number' && Number.isInteger(value) && value >= 0;
  if (whole && value <= options.most) return value;
  throw damaged(`${options.name} must be a whole number from 0 to ${options.most}`);
}

export function onlyKeys(thing: Thing, known: readonly string[], name: string): void {
  const strange = Object.keys(thing).find((key) => !known.includes(key));
  if (strange === undefined) return;
  const nearest = nearestName(strange, known);
  const hint = nearest === null ? `Known: ${known.join(', ')}` : `Perhaps "${nearest}"`;
  throw damaged(`${name} has an unknown key "${strange.slice(0, 60)}"`, hint);
}
