import type { ModelArray } from '../schema.js';
import { type Layout, parityOf } from './array-shape.js';
import { limitOf, scaledStage, stageOf } from './stages.js';
import {
  type Direction,
  directions,
  type PathEstimate,
  type Stage,
  type Streams,
  streamCounts,
} from './types.js';
import { behind, partsOnTheWay, type Way } from './ways.js';

/** Which data of an array's stream its members and the links behind them carry. */
interface Carried {
  /** User data for each byte that one member's surface passes. */
  readonly perMember: number;
  /** User data for each byte on a link that carries the streams of `members` of the array. */
  readonly perLinkByte: (members: number) => number;
}

interface Stream {
  readonly layout: Layout;
  readonly members: number;
  readonly direction: Direction;
  readonly streams: Streams;
}

/** Reading and writing an array with one stream and with many, as user data. */
export function arrayPaths(
  array: ModelArray,
  ways: ReadonlyMap<string, Way>,
): readonly PathEstimate[] {
  return directions.flatMap((direction) =>
    streamCounts.map((streams) => {
      const stages = arrayStages(array, { ways, direction, streams });
      const path = `array:${array.name}`;
      return { path, direction, streams, drives: array.members, stages, ...limitOf(stages) };
    }),
  );
}

/**
 * Every member and every link between members and processor, as the user data of the array that it
 * lets through; links that several members share are counted once for all of them. Empty when a
 * member's speed is not known: an array is as fast as its slowest member.
 */
function arrayStages(
  array: ModelArray,
  how: {
    readonly ways: ReadonlyMap<string, Way>;
    readonly direction: Direction;
    readonly streams: Streams;
  },
): readonly Stage[] {
  const members = array.members.flatMap((serial) => how.ways.get(serial) ?? []);
  const drives = members.map(({ drive }) => drive).filter((one) => one !== null);
  if (drives.length < array.members.length) return [];
  const carried = carriedBy({ ...how, layout: array.layout, members: members.length });
  const ofDrives = drives.map((drive) =>
    scaledStage(drive, carried.perMember, memberWords(drive, members.length)),
  );
  const ofLinks = partsOnTheWay(members).flatMap((part) => {
    const sharing = behind(members, part);
    const link = sharing[0]?.parts.find((one) => one.part === part);
    const stage = link === undefined ? null : stageOf(link);
    if (stage === null) return [];
    const factor = carried.perLinkByte(sharing.length);
    return [scaledStage(stage, factor, linkWords(stage, sharing.length, members.length))];
  });
  return [...ofDrives, ...ofLinks];
}

function memberWords(drive: Stage, members: number): string {
  return members === 1 ? drive.why : `${drive.why}, one of ${members} members at the same pace`;
}

function linkWords(stage: Stage, sharing: number, members: number): string {
  return members === 1 ? stage.why : `${stage.why}, for ${sharing} of ${members} members`;
}

/**
 * Large accesses of each layout (Patterson, Gibson, Katz 1988, from memory; common practice):
 * parity layouts stream as their data members do, and all member streams pass the links. A mirror
 * reads one stream from one copy and many from all of them; it writes every copy.
 */
function carriedBy({ layout, members, direction, streams }: Stream): Carried {
  const parity = parityOf(layout);
  if (parity !== null) {
    const data = Math.max(1, members - parity);
    return { perMember: data, perLinkByte: (sharing) => data / sharing };
  }
  if (layout === 'mirror' || layout === 'raid1') return mirrored(members, direction, streams);
  if (layout === 'raid10') return striped(members, direction, streams);
  return { perMember: members, perLinkByte: (sharing) => members / sharing };
}

function mirrored(members: number, direction: Direction, streams: Streams): Carried {
  if (direction === 'write') return { perMember: 1, perLinkByte: (sharing) => 1 / sharing };
  if (streams === 'one') return { perMember: 1, perLinkByte: () => 1 };
  return { perMember: members, perLinkByte: (sharing) => members / sharing };
}

/** Two copies: one stream keeps half of the members busy, many streams all of them. */
function striped(members: number, direction: Direction, streams: Streams): Carried {
  const pairs = members / 2;
  if (direction === 'write') {
    return { perMember: pairs, perLinkByte: (sharing) => pairs / sharing };
  }
  if (streams === 'many') {
    return { perMember: members, perLinkByte: (sharing) => members / sharing };
  }
  return { perMember: pairs, perLinkByte: (sharing) => pairs / Math.min(sharing, pairs) };
}
