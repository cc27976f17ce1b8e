/**
 * Small decoders for foreign values: each takes what came and says whether it is of the wanted
 * kind. `shape` refuses unknown keys, so that a message means what both sides think it means.
 */
export type IsOfKind = (value: unknown) => boolean;

export const isWhole: IsOfKind = (value) => Number.isSafeInteger(value) && Number(value) >= 0;

export const isAmount: IsOfKind = (value) => Number.isFinite(value) && Number(value) >= 0;

export const isFlag: IsOfKind = (value) => typeof value === 'boolean';

export function isText(lengthMax: number): IsOfKind {
  return (value) => typeof value === 'string' && value.length <= lengthMax;
}

export function isOneOf(...allowed: readonly unknown[]): IsOfKind {
  return (value) => allowed.includes(value);
}

export function isNullOr(kind: IsOfKind): IsOfKind {
  return (value) => value === null || kind(value);
}

export function isListOf(kind: IsOfKind, lengthMax: number): IsOfKind {
  return (value) => Array.isArray(value) && value.length <= lengthMax && value.every(kind);
}

export function isRecordOf(kind: IsOfKind, keysMax: number): IsOfKind {
  return (value) => {
    if (typeof value !== 'object' || value === null || Array.isArray(value)) return false;
    const values = Object.values(value);
    return values.length <= keysMax && values.every(kind);
  };
}

/** An object with exactly these keys; a key ending in "?" may be absent. */
export function shape(fields: Readonly<Record<string, IsOfKind>>): IsOfKind {
  const known = new Map(
    Object.entries(fields).map(([key, kind]) => [
      key.replace('?', ''),
      { kind, optional: key.endsWith('?') },
    ]),
  );
  return (value) => {
    if (typeof value !== 'object' || value === null || Array.isArray(value)) return false;
    const given = value as Readonly<Record<string, unknown>>;
    if (Object.keys(given).some((key) => !known.has(key))) return false;
    return [...known].every(([key, { kind, optional }]) =>
      Object.hasOwn(given, key) ? kind(given[key]) : optional,
    );
  };
}

export function isAnyOf(kinds: readonly IsOfKind[]): IsOfKind {
  return (value) => kinds.some((kind) => kind(value));
}
