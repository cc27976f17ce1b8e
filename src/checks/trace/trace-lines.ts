import { formatBytes, formatBytesPerSecond, formatNumber } from '../units.js';
import { heldBytes, type TracePart } from './split-trace.js';

const kindWords: Readonly<Record<TracePart['kind'], string>> = {
  memory: 'into memory or another fast store on the way',
  dip: 'the dip, while what was held is carried off',
  sustained: 'kept up',
  other: 'a stretch of its own',
};

/** The stretches of a copy in words, and how much was held on the way. */
export function traceLines(parts: readonly TracePart[]): readonly string[] {
  if (parts.length === 0) return ['Too short to tell: less than two seconds were recorded'];
  const held = heldBytes(parts);
  return [
    ...parts.map(partLine),
    ...(held === null
      ? parts.length === 1
        ? ['One speed from beginning to end: no knee']
        : []
      : [
          `About ${formatBytes(held)} had been taken in and not yet passed on at the knee; where ` +
            'that is near a fifth of the free memory it is the kernel’s limit for unwritten data',
        ]),
  ];
}

function partLine({ kind, fromSeconds, toSeconds, bytes, bytesPerSecond }: TracePart): string {
  const [from, to] = [fromSeconds, toSeconds].map((one) => formatNumber(one, 1));
  return (
    `${from} to ${to} s: ${formatBytesPerSecond(bytesPerSecond)}, ${formatBytes(bytes)}: ` +
    kindWords[kind]
  );
}
