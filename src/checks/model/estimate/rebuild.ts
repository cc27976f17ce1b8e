import type { ModelArray } from '../schema.js';
import { type Layout, parityOf } from './array-shape.js';
import { scaledStage, smallestStage, stageOf } from './stages.js';
import type { DriveEstimate, RebuildEstimate, Stage } from './types.js';
import { behind, partsOnTheWay, type Way } from './ways.js';

export interface RebuildInput {
  readonly array: ModelArray;
  readonly layout: Layout;
  readonly smallestBytes: number;
  readonly ways: ReadonlyMap<string, Way>;
  readonly drives: ReadonlyMap<string, DriveEstimate>;
}

/** Linux md gives a rebuild at most 200 000 KiB/s a member (Linux 6.1 drivers/md/md.c). */
const kernelBytesPerSecondMax = 200_000 * 1024;

/** With users at work a rebuild takes two to five times as long (common practice, no source). */
const usersFactor = { low: 2, high: 5 };

const secondsPerHour = 3600;

/**
 * How long it takes to fill a new member of the smallest member's size: at the mean speed of the
 * slowest member over its whole surface, at each link's share when all members stream at once, and
 * at the kernel's own limit for md arrays, whichever is least. Null where nothing survives a loss
 * or a member's speed is not known.
 */
export function rebuildOf(input: RebuildInput): RebuildEstimate | null {
  const stages = rebuildStages(input);
  const limit = smallestStage(stages);
  if (stages.length === 0 || limit === null) return null;
  const hours = (rate: number) => input.smallestBytes / rate / secondsPerHour;
  const least = (key: 'low' | 'high') => Math.min(...stages.map((one) => one[key]));
  const expected = hours(limit.bytesPerSecond);
  const span = { expected, low: hours(least('high')), high: hours(least('low')) };
  return {
    hours: span,
    hoursWithUsers: { low: expected * usersFactor.low, high: expected * usersFactor.high },
    bytesPerSecond: limit.bytesPerSecond,
    limit: { part: limit.part, why: limit.why },
    source: 'smallest of drive means, shared links and the kernel’s limit; users: common practice',
  };
}

function rebuildStages({ array, layout, ways, drives }: RebuildInput): readonly Stage[] {
  const members = array.members.flatMap((serial) => ways.get(serial) ?? []);
  const rated = array.members.flatMap((serial) => drives.get(serial) ?? []);
  if (!survivesOne(layout) || rated.length < array.members.length) return [];
  const working = workingMembers(layout, members.length);
  const ofDrives = rated.map(meanStage);
  const ofLinks = partsOnTheWay(members).flatMap((part) => {
    const sharing = Math.min(behind(members, part).length, working);
    const link = members.flatMap((way) => way.parts).find((one) => one.part === part);
    const stage = link === undefined ? null : stageOf(link);
    if (stage === null) return [];
    return [scaledStage(stage, 1 / sharing, `${stage.why}, shared by ${sharing} of the members`)];
  });
  return [...ofDrives, ...ofLinks, ...kernelStage(layout, array.name)];
}

function survivesOne(layout: Layout): boolean {
  return layout !== 'single' && layout !== 'raid0';
}

/** Parity needs every survivor; a mirror or a pair only copies from one member to another. */
function workingMembers(layout: Layout, members: number): number {
  return parityOf(layout) === null ? Math.min(2, members) : members;
}

function meanStage({ serial, mean, source }: DriveEstimate): Stage {
  return {
    part: serial,
    bytesPerSecond: mean.expected,
    low: mean.low,
    high: mean.high,
    why: 'its mean speed over the whole surface',
    source,
  };
}

function kernelStage(layout: Layout, name: string): readonly Stage[] {
  if (!layout.startsWith('raid') || layout.startsWith('raidz')) return [];
  return [
    {
      part: name,
      bytesPerSecond: kernelBytesPerSecondMax,
      low: kernelBytesPerSecondMax,
      high: kernelBytesPerSecondMax,
      why: 'the kernel’s own limit of 200 000 KiB/s, which can be raised',
      source: 'Linux 6.1 drivers/md/md.c',
    },
  ];
}
