import type { BoxModel } from '../parse.js';
import type { Entry } from '../schema.js';
import { networkWay } from './network-stages.js';
import { limitOf } from './stages.js';
import {
  type Direction,
  directions,
  type PathEstimate,
  type Stage,
  type Streams,
} from './types.js';

/**
 * Copying through memory: 4 GB/s is slow for any board with two memory channels of its last ten
 * years, so that memory hardly ever limits a client (from memory, not measured).
 */
const memoryStage: Stage = {
  part: 'memory',
  bytesPerSecond: 4e9,
  low: 2e9,
  high: 10e9,
  why: 'copies within the memory',
  source: 'from memory, not measured',
};

/**
 * Between each client and the box: small copies that fit in memory, large ones of each array, whose
 * own paths are `arrayPaths`.
 */
export function clientPaths(
  model: BoxModel,
  arrayPaths: readonly PathEstimate[],
): { readonly paths: readonly PathEstimate[]; readonly assumed: readonly string[] } {
  const found = model.clients.map((client) => {
    const network = networkWay(model, client);
    const toMemory = [memoryStage, ...network.stages];
    return {
      assumed: network.assumed,
      paths: [
        ...directions.map((direction) =>
          pathOf(client, {
            name: 'memory',
            direction,
            streams: 'one',
            drives: [],
            stages: toMemory,
          }),
        ),
        ...arrayPaths.map(({ path, direction, streams, drives, stages: own }) => {
          const name = path.slice('array:'.length);
          const stages = own.length === 0 ? [] : [...own, ...network.stages];
          return pathOf(client, { name, direction, streams, drives, stages });
        }),
      ],
    };
  });
  return {
    paths: found.flatMap(({ paths }) => paths),
    assumed: found.flatMap(({ assumed }) => assumed),
  };
}

function pathOf(
  client: Entry<'client'>,
  path: {
    readonly name: string;
    readonly direction: Direction;
    readonly streams: Streams;
    readonly drives: readonly string[];
    readonly stages: readonly Stage[];
  },
): PathEstimate {
  const { name, direction, streams, drives } = path;
  const stages = mergedStages(path.stages);
  return {
    path: `client:${client.name}/${name}`,
    direction,
    streams,
    drives,
    stages,
    ...limitOf(stages),
  };
}

/**
 * A part that is met twice, such as the chipset link between drives and network card, carries one
 * way in and the other out: each direction has the whole link, so the tighter meeting counts.
 */
function mergedStages(stages: readonly Stage[]): readonly Stage[] {
  return stages.filter((stage) => {
    const same = stages.filter(({ part }) => part === stage.part);
    const least = Math.min(...same.map(({ bytesPerSecond }) => bytesPerSecond));
    return same.find(({ bytesPerSecond }) => bytesPerSecond === least) === stage;
  });
}
