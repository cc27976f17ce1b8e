import { payloadBytesLeast } from '../ceilings.js';
import type { BoxModel } from '../parse.js';
import { type ChainStage, driveChain } from '../topology.js';
import { stageOf } from './stages.js';
import type { DriveEstimate, Stage } from './types.js';

/** The way of one drive's data: the drive itself, then every part up to the chipset link. */
export interface Way {
  readonly serial: string;
  /** What the drive gives at its outer edge, within its own link; null when not known. */
  readonly drive: Stage | null;
  readonly parts: readonly ChainStage[];
}

/** The way of every drive of the model, with the smallest packets that PCI Express allows. */
export function waysOf(
  model: BoxModel,
  drives: ReadonlyMap<string, DriveEstimate>,
): ReadonlyMap<string, Way> {
  const ways = model.drives.map(({ serial }): readonly [string, Way] => {
    const chain = driveChain(model, serial, { payloadBytes: payloadBytesLeast });
    const own = chain[0] === undefined ? null : stageOf(chain[0]);
    const rate = drives.get(serial);
    const drive = rate === undefined ? null : withinLink(driveStage(rate), own);
    return [serial, { serial, drive, parts: chain.slice(1) }];
  });
  return new Map(ways);
}

function driveStage({ serial, outer, source, rotating }: DriveEstimate): Stage {
  return {
    part: serial,
    bytesPerSecond: outer.expected,
    low: outer.low,
    high: outer.high,
    why: rotating ? 'its surface at the outer edge' : 'its flash memory',
    source,
  };
}

/** A drive in a slot gives no more than its own lanes carry. */
function withinLink(drive: Stage, link: Stage | null): Stage {
  return link === null || link.bytesPerSecond >= drive.bytesPerSecond ? drive : link;
}

/** Every part that the data of at least one drive passes, in the order in which it is met. */
export function partsOnTheWay(ways: Iterable<Way>): readonly string[] {
  return [...new Set([...ways].flatMap((way) => way.parts.map(({ part }) => part)))];
}

/** Ways that pass a part. */
export function behind(ways: Iterable<Way>, part: string): readonly Way[] {
  return [...ways].filter((way) => way.parts.some((one) => one.part === part));
}
