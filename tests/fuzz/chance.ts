/** Seeded chance: the same seed gives the same inputs on every machine. */
export interface Chance {
  /** A whole number from 0 up to, not including, `limit`. */
  below(limit: number): number;
  oneIn(number: number): boolean;
  pick<T>(list: readonly [T, ...T[]]): T;
}

/** A counter stepped by an odd constant, its bits mixed; the words of a name may join the seed. */
export function makeChance(seed: number, name = ''): Chance {
  let state = seed >>> 0;
  for (const letter of name) state = Math.imul(state ^ letter.charCodeAt(0), 0x01000193) >>> 0;
  const word = (): number => {
    state = (state + 0x9e3779b9) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 16), 0x21f0aaad);
    mixed = Math.imul(mixed ^ (mixed >>> 15), 0x735a2d97);
    return (mixed ^ (mixed >>> 15)) >>> 0;
  };
  const below = (limit: number) => Math.floor((word() / 2 ** 32) * limit);
  return {
    below,
    oneIn: (number) => below(number) === 0,
    pick: (list) => list[below(list.length)] ?? list[0],
  };
}
