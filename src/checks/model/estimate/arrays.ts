import type { DriveClass } from '../classes.js';
import type { BoxModel } from '../parse.js';
import { arrayLayouts, type ModelArray, type ModelDrive } from '../schema.js';
import { membersMin } from '../wiring.js';
import { type Layout, layoutFacts, parityOf } from './array-shape.js';
import { findPath } from './find-path.js';
import { unreadableSectorProbability } from './read-errors.js';
import { rebuildOf } from './rebuild.js';
import { riskOf } from './risk.js';
import type {
  ArrayEstimate,
  Direction,
  DriveEstimate,
  OtherLayout,
  PathEstimate,
} from './types.js';
import type { Way } from './ways.js';

export interface ArrayKnowledge {
  readonly model: BoxModel;
  readonly ways: ReadonlyMap<string, Way>;
  readonly drives: ReadonlyMap<string, DriveEstimate>;
  readonly classes: readonly DriveClass[];
  /** Among them those of the array. */
  readonly paths: readonly PathEstimate[];
}

/** Capacity, protection, streams, rebuild and risk of an array, and what other layouts give. */
export function estimateArray(array: ModelArray, knowledge: ArrayKnowledge): ArrayEstimate {
  const members = membersOf(array, knowledge.model);
  const capacities = members.map(({ capacity }) => capacity);
  const smallestBytes = capacities.length === 0 ? 0 : Math.min(...capacities);
  const shape = { capacities, recordBytes: array.record, sectorBytes: array.sector };
  const facts = layoutFacts({ ...shape, layout: array.layout });
  const { ways, drives } = knowledge;
  const rebuild = rebuildOf({ array, layout: array.layout, smallestBytes, ways, drives });
  const unreadable = unreadableOf(array.layout, { members, smallestBytes, knowledge });
  const rebuildHours = rebuild?.hours.expected ?? null;
  const path = `array:${array.name}`;
  const oneStream = (direction: Direction) =>
    findPath(knowledge.paths, { path, direction, streams: 'one' })?.limit?.bytesPerSecond ?? null;
  return {
    ...facts,
    name: array.name,
    members: array.members,
    readBytesPerSecond: oneStream('read'),
    writeBytesPerSecond: oneStream('write'),
    rebuild,
    rebuildHours,
    unreadableSectorProbability: unreadable,
    risk: riskOf({ facts, members, rebuildHours, unreadable }),
    unusedBytes: capacities.reduce((sum, one) => sum + one - smallestBytes, 0),
    otherLayouts: otherLayouts(array, { shape, smallestBytes, ways, drives }),
  };
}

export function membersOf(array: ModelArray, model: BoxModel): readonly ModelDrive[] {
  return array.members.flatMap((serial) => model.drives.find((one) => one.serial === serial) ?? []);
}

/** Every survivor is read in whole once; a mirror reads the one other copy. */
function unreadableOf(
  layout: Layout,
  so: {
    readonly members: readonly ModelDrive[];
    readonly smallestBytes: number;
    readonly knowledge: ArrayKnowledge;
  },
): number | null {
  const bits = so.members.map((drive) => bitsPerUnreadable(drive, so.knowledge.classes));
  const known = bits.filter((one) => one !== null);
  if (layout === 'single' || layout === 'raid0' || known.length < bits.length) return null;
  const survivors = parityOf(layout) === null ? 1 : so.members.length - 1;
  return unreadableSectorProbability(survivors * so.smallestBytes, Math.min(...known));
}

/** What the drive's own data sheet says, else its class; null when neither is known. */
export function bitsPerUnreadable(
  drive: ModelDrive,
  classes: readonly DriveClass[],
): number | null {
  const named = classes.find(({ id }) => id === drive.class);
  return drive.bitsPerUnreadable ?? named?.bitsPerUnreadable ?? null;
}

function otherLayouts(
  array: ModelArray,
  so: {
    readonly shape: Omit<Parameters<typeof layoutFacts>[0], 'layout'>;
    readonly smallestBytes: number;
    readonly ways: ReadonlyMap<string, Way>;
    readonly drives: ReadonlyMap<string, DriveEstimate>;
  },
): readonly OtherLayout[] {
  const count = array.members.length;
  const fits = (layout: Layout) =>
    layout !== array.layout &&
    layout !== 'single' &&
    layout !== 'raid1' &&
    count >= membersMin[layout] &&
    (layout !== 'raid10' || count % 2 === 0) &&
    !(layout === 'mirror' && array.layout === 'raid1');
  return arrayLayouts.filter(fits).map((layout) => {
    const { smallestBytes, ways, drives } = so;
    const rebuild = rebuildOf({ array, layout, smallestBytes, ways, drives });
    return {
      ...layoutFacts({ ...so.shape, layout }),
      rebuildHours: rebuild?.hours.expected ?? null,
    };
  });
}
