import type { Limits } from './limits.js';

const depthMax = 12;

export interface Around {
  readonly limits: Limits;
  /** Length of the input: nothing that is decoded may be longer by more than a sentence. */
  readonly inputLength: number;
}

/**
 * What is wrong with a decoded value, or null. It may hold booleans, null, texts, bytes and
 * numbers that are finite and within the limits of their field; nothing that is undefined.
 */
export function troubleIn(value: unknown, around: Around): string | null {
  return look(value, 'value', { ...around, depth: 0 });
}

interface Place extends Around {
  readonly depth: number;
}

function look(value: unknown, name: string, place: Place): string | null {
  switch (typeof value) {
    case 'number':
    case 'bigint':
      return troubleOfNumber(value, name, place.limits);
    case 'boolean':
      return null;
    case 'string':
      return value.length <= 8 * place.inputLength + 2000
        ? null
        : `${name} is a text of ${value.length} letters`;
    case 'object':
      return value === null ? null : lookInside(value, name, place);
    default:
      return `${name} is ${typeof value}`;
  }
}

function troubleOfNumber(value: number | bigint, name: string, limits: Limits): string | null {
  const limit = limits[name];
  if (limit === undefined) return `${name} is a number without a limit`;
  if (Number.isNaN(value)) return `${name} is not a number`;
  if (value < limit.least || value > limit.most) return `${name} is ${value}, outside of its field`;
  if (limit.fractions !== true && typeof value === 'number' && !Number.isInteger(value)) {
    return `${name} is ${value}, not a whole number`;
  }
  return null;
}

function lookInside(value: object, name: string, place: Place): string | null {
  if (place.depth > depthMax) return `${name} is nested too deep`;
  const inner = { ...place, depth: place.depth + 1 };
  if (value instanceof Uint8Array) {
    return value.length <= place.inputLength ? null : `${name} has ${value.length} bytes`;
  }
  if (Array.isArray(value)) return lookAt(value, () => name, inner);
  if (value instanceof Map) return lookAtMap(value, name, inner);
  if (value instanceof Set) return lookAt([...value], () => name, inner);
  // A reader of a part of the page: its figures are read by the decoders that take it.
  if ('u8' in value && 'length' in value) {
    return Number(value.length) <= place.inputLength ? null : `${name} reads past the page`;
  }
  for (const key in value) {
    const trouble = look(value[key as keyof typeof value], key, inner);
    if (trouble !== null) return trouble;
  }
  return null;
}

function lookAt(list: readonly unknown[], nameOf: () => string, place: Place): string | null {
  if (list.length > place.inputLength + 64) return `${nameOf()} has ${list.length} entries`;
  for (const one of list) {
    const trouble = look(one, nameOf(), place);
    if (trouble !== null) return trouble;
  }
  return null;
}

function lookAtMap(map: ReadonlyMap<unknown, unknown>, name: string, place: Place): string | null {
  for (const [key, value] of map) {
    const trouble = look(key, `${name}Key`, place) ?? look(value, name, place);
    if (trouble !== null) return trouble;
  }
  return null;
}
