/** Kinds of quantity that a model file states with a unit. */
export type QuantityKind = 'capacity' | 'memory' | 'rate' | 'link' | 'block';

interface KindRule {
  readonly expected: string;
  readonly units: Readonly<Record<string, number>>;
}

/**
 * Trade use: drives and rates count decimally, memory modules and file-system blocks in powers of
 * two, links in decimal bits per second (common practice; binary prefixes are IEC 80000-13).
 */
const rules: Readonly<Record<QuantityKind, KindRule>> = {
  capacity: {
    expected: 'a capacity with its unit, such as "8 TB"',
    units: { B: 1, MB: 1e6, GB: 1e9, TB: 1e12, MiB: 2 ** 20, GiB: 2 ** 30, TiB: 2 ** 40 },
  },
  memory: {
    expected: 'a memory size with its unit, such as "16 GB"',
    units: { MB: 2 ** 20, GB: 2 ** 30, TB: 2 ** 40, MiB: 2 ** 20, GiB: 2 ** 30, TiB: 2 ** 40 },
  },
  rate: {
    expected: 'a rate with its unit, such as "210 MB/s"',
    units: { 'kB/s': 1e3, 'MB/s': 1e6, 'GB/s': 1e9, 'MiB/s': 2 ** 20, 'GiB/s': 2 ** 30 },
  },
  link: {
    expected: 'a link speed such as "6G", "2.5G" or "10G"',
    units: { M: 1e6, G: 1e9, 'Mb/s': 1e6, 'Gb/s': 1e9 },
  },
  block: {
    expected: 'a block size with its unit, such as "128 KiB"',
    units: { B: 1, K: 2 ** 10, KiB: 2 ** 10, M: 2 ** 20, MiB: 2 ** 20 },
  },
};

const numberAndUnit = /^(\d{1,12}(?:\.\d{1,6})?) {0,2}([A-Za-z]{1,3}(?:\/s)?)$/;

/**
 * Parses a quantity of a model file. Returns the amount in bytes (capacity, memory, block), bytes
 * per second (rate) or bits per second (link), always finite and above 0; or what was expected.
 * A bare number is refused: a size without a unit means different things to different people.
 */
export function parseQuantity(
  text: unknown,
  kind: QuantityKind,
): { readonly amount: number } | { readonly expected: string } {
  const { expected, units } = rules[kind];
  const parts = typeof text === 'string' ? numberAndUnit.exec(text.trim()) : null;
  const unit = parts?.[2] ?? '';
  if (parts === null || !Object.hasOwn(units, unit)) {
    return { expected };
  }
  const amount = Number(parts[1]) * (units[unit] ?? Number.NaN);
  const whole = kind === 'rate' ? amount : Math.round(amount);
  return Number.isFinite(whole) && whole > 0 && whole <= Number.MAX_SAFE_INTEGER
    ? { amount: whole }
    : { expected };
}

/** What a quantity of this kind must look like, for complaints. */
export function expectedQuantity(kind: QuantityKind): string {
  return rules[kind].expected;
}
