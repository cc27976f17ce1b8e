import { formatBytes, formatBytesPerSecond, formatNumber } from '../../units.js';
import type { KeyUnit } from './key-figures.js';

/** A key figure with its unit; "not told" for null. Money is in the model's currency. */
export function figureWords(
  value: number | null,
  unit: KeyUnit,
  currency: string | null = null,
): string {
  if (value === null) return 'not told';
  const words: Readonly<Record<KeyUnit, () => string>> = {
    bytes: () => formatBytes(value),
    'bytes-per-second': () => formatBytesPerSecond(value),
    hours: () => `${formatNumber(value, value < 10 ? 1 : 0)} h`,
    percent: () => `${formatNumber(value, 1)} %`,
    watts: () => `${formatNumber(value)} W`,
    money: () => `${formatNumber(value, 2)} ${currency ?? ''}`.trim(),
    losses: () => (value === 1 ? '1 loss' : `${formatNumber(value)} losses`),
  };
  return words[unit]();
}
