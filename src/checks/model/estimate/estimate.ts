import type { DriveClass } from '../classes.js';
import type { BoxModel } from '../parse.js';
import { arrayPaths } from './array-paths.js';
import { estimateArray } from './arrays.js';
import { clientPaths } from './client-paths.js';
import { estimateCost } from './cost.js';
import { rateDrive } from './drive-rates.js';
import { drivePaths, groupPaths } from './group-paths.js';
import { estimatePower } from './power.js';
import type { DriveEstimate, Estimate } from './types.js';
import { warningsOf } from './warnings.js';
import { waysOf } from './ways.js';

export interface EstimateKnowledge {
  readonly classes: readonly DriveClass[];
  /** First measured speed at the outer edge by serial, bytes per second; goes before all else. */
  readonly measured?: ReadonlyMap<string, number>;
}

/**
 * What a build can be expected to reach, hold, survive, draw and cost, from its model alone. Rates
 * in bytes per second of user data, capacities in bytes, money in the model's currency. What is not
 * told gives no figure or stands in `assumed`. Pure; throws nothing for a valid model.
 */
export function estimate(model: BoxModel, knowledge: EstimateKnowledge): Estimate {
  const { classes, measured = new Map() } = knowledge;
  const rated = model.drives.map((drive) => rateDrive(drive, { classes, measured }));
  const drives = rated.flatMap((one) => one.estimate ?? []);
  const bySerial = new Map(drives.map((one): [string, DriveEstimate] => [one.serial, one]));
  const ways = waysOf(model, bySerial);
  const paths = model.arrays.flatMap((array) => arrayPaths(array, ways));
  const clients = clientPaths(model, paths);
  const arrays = model.arrays.map((array) =>
    estimateArray(array, { model, ways, drives: bySerial, classes, paths }),
  );
  const { power, assumed } = estimatePower(model, classes);
  const cost = estimateCost(model, arrays);
  const all = [...drivePaths(ways.values()), ...groupPaths(ways), ...paths, ...clients.paths];
  return {
    name: model.box.name ?? null,
    drives,
    paths: all,
    arrays,
    power,
    cost,
    assumed: [...rated.flatMap((one) => one.assumed), ...clients.assumed, ...assumed, ...always],
    warnings: warningsOf(model, { paths: all, arrays, power, cost }),
  };
}

const always: readonly string[] = [
  'PCI Express packets carry 128 bytes where the model tells no other payload',
  'Drives write as fast as they read; solid state slows down when its fast area is full',
  'TCP over IPv4 with timestamps, packets of 1500 bytes where the model tells nothing else',
];
