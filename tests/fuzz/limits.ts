/** What a number of one name may be: whole numbers within its field, unless it says otherwise. */
export interface Limit {
  readonly least: number;
  readonly most: number | bigint;
  readonly fractions?: boolean;
}

/** By the name of the field that holds the number. A number without a limit is a fault. */
export type Limits = Readonly<Record<string, Limit>>;

export function upTo(most: number | bigint): Limit {
  return { least: 0, most };
}

export function between(least: number, most: number): Limit {
  return { least, most };
}

export const u8 = upTo(0xff);
export const u16 = upTo(0xffff);
export const u32 = upTo(0xffff_ffff);
export const u48 = upTo(2 ** 48 - 1);
export const u64 = upTo(2n ** 64n - 1n);
export const u128 = upTo(2n ** 128n - 1n);
/** A field of 64 bits or more that is told as a number only while a double holds it exactly. */
export const exact = upTo(Number.MAX_SAFE_INTEGER);
export const s8 = between(-128, 127);
export const anyFigure: Limit = {
  least: -Number.MAX_VALUE,
  most: Number.MAX_VALUE,
  fractions: true,
};
