import type { Estimate } from './types.js';

/** A figure of a build that a person decides by. */
export interface KeyFigure {
  /** Stays the same between builds: `array:NAME rebuild`, `client:NAME/ARRAY read`. */
  readonly key: string;
  readonly words: string;
  readonly unit: KeyUnit;
  /** Null when the model does not tell enough. */
  readonly value: number | null;
  /** Which way is better; null where neither is. */
  readonly better: 'more' | 'less' | null;
}

export type KeyUnit =
  | 'bytes'
  | 'bytes-per-second'
  | 'hours'
  | 'percent'
  | 'watts'
  | 'money'
  | 'losses';

/**
 * The figures of an estimate that builds are compared by: of each array what it holds, bears,
 * streams and takes to rebuild; what each client gets; power; cost. Money in the model's currency.
 */
export function keyFigures(found: Estimate): readonly KeyFigure[] {
  return [
    ...found.arrays.flatMap(arrayFigures),
    ...found.paths.flatMap(clientFigures),
    {
      key: 'power start',
      words: 'drives starting together draw at most',
      unit: 'watts',
      value: found.power.drivesStartWatts.high,
      better: 'less',
    },
    {
      key: 'power work',
      words: 'drives at work draw',
      unit: 'watts',
      value: found.power.drivesWorkWatts.expected,
      better: 'less',
    },
    { key: 'cost sum', words: 'parts cost', unit: 'money', value: found.cost.sum, better: 'less' },
    {
      key: 'cost per terabyte',
      words: 'a usable terabyte costs',
      unit: 'money',
      value: found.cost.perUsableTerabyte,
      better: 'less',
    },
  ];
}

function arrayFigures(array: Estimate['arrays'][number]): readonly KeyFigure[] {
  const { name } = array;
  const chance = array.unreadableSectorProbability;
  const rows: readonly (readonly [string, string, KeyUnit, number | null, 'more' | 'less'])[] = [
    ['holds', 'holds', 'bytes', array.usableBytes, 'more'],
    ['survives', 'surely bears', 'losses', array.survives.always, 'more'],
    ['read', 'reads in one stream', 'bytes-per-second', array.readBytesPerSecond, 'more'],
    ['write', 'writes in one stream', 'bytes-per-second', array.writeBytesPerSecond, 'more'],
    ['rebuild', 'rebuilds in', 'hours', array.rebuildHours, 'less'],
    [
      'unreadable',
      'meets an unreadable sector while rebuilding with at most',
      'percent',
      chance === null ? null : chance * 100,
      'less',
    ],
  ];
  return rows.map(([what, words, unit, value, better]) => ({
    key: `array:${name} ${what}`,
    words: `${name} ${words}`,
    unit,
    value,
    better,
  }));
}

function clientFigures(path: Estimate['paths'][number]): readonly KeyFigure[] {
  if (!path.path.startsWith('client:') || path.streams !== 'one') return [];
  const [client, of] = path.path.slice('client:'.length).split('/');
  const verb = path.direction === 'read' ? 'gets' : 'stores';
  const what = of === 'memory' ? 'small copies' : `large copies of ${of}`;
  return [
    {
      key: `${path.path} ${path.direction}`,
      words: `${client} ${verb} ${what} at`,
      unit: 'bytes-per-second',
      value: path.limit?.bytesPerSecond ?? null,
      better: 'more',
    },
  ];
}
