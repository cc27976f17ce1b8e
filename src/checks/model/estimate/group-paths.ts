import { formatBytesPerSecond } from '../../units.js';
import { limitOf, smallestStage, stageOf, sumOfIntervals } from './stages.js';
import { directions, type PathEstimate, type Stage } from './types.js';
import { behind, partsOnTheWay, type Way } from './ways.js';

/** Each drive alone, reading at its outer edge. Writing is told too; it is taken as equal. */
export function drivePaths(ways: Iterable<Way>): readonly PathEstimate[] {
  return [...ways].flatMap((way) => {
    const stages = [way.drive, ...way.parts.map(stageOf)].filter((one) => one !== null);
    return bothDirections({
      path: `drive:${way.serial}`,
      streams: 'one',
      drives: [way.serial],
      stages,
    });
  });
}

/** All drives behind each part, working at once. */
export function groupPaths(ways: ReadonlyMap<string, Way>): readonly PathEstimate[] {
  return partsOnTheWay(ways.values()).flatMap((part) => {
    const together = behind(ways.values(), part);
    const stages = groupStages(part, together);
    const drives = together.map(({ serial }) => serial);
    return bothDirections({ path: `group:${part}`, streams: 'many', drives, stages });
  });
}

function bothDirections(
  path: Pick<PathEstimate, 'path' | 'streams' | 'drives' | 'stages'>,
): readonly PathEstimate[] {
  const limit = limitOf(path.stages);
  return directions.map((direction) => ({ ...path, ...limit, direction }));
}

/** What arrives at the part, the part itself, and what its data passes after it. */
function groupStages(part: string, ways: readonly Way[]): readonly Stage[] {
  const [first] = ways;
  if (first === undefined) return [];
  const from = first.parts.findIndex((one) => one.part === part);
  const onward = first.parts.slice(from).map(stageOf);
  return [arriving(part, ways), ...onward].filter((one) => one !== null);
}

/**
 * The sum of what reaches a part from below, every link on the way counted once for all that share
 * it. Its name is that of the narrowest part below: a link that holds its drives back, else the
 * slowest drive. Null when a drive's speed is not known.
 */
function arriving(part: string, ways: readonly Way[]): Stage | null {
  const parts = branches(part, ways);
  const known = parts.filter((one) => one !== null);
  const [only] = known;
  if (known.length !== parts.length || only === undefined) return null;
  if (known.length === 1) return only;
  const sum = sumOfIntervals(known.map((one) => ({ ...one, expected: one.bytesPerSecond })));
  const narrowest = smallestStage(known) ?? only;
  const shares = known.map((one) => formatBytesPerSecond(one.bytesPerSecond)).join(' + ');
  return {
    part: narrowest.part,
    bytesPerSecond: sum.expected,
    low: sum.low,
    high: sum.high,
    why: `${ways.length} drives together: ${shares}`,
    source: [...new Set(known.map(({ source }) => source))].join('; '),
  };
}

/** For each part or drive directly below, what it passes on; null where that is not known. */
function branches(part: string, ways: readonly Way[]): readonly (Stage | null)[] {
  const below = new Set(ways.map((way) => partBelow(part, way)));
  return [...below].flatMap((child) => {
    const through = ways.filter((way) => partBelow(part, way) === child);
    return child === null ? through.map(({ drive }) => drive) : [passedOn(child, through)];
  });
}

function passedOn(child: string, through: readonly Way[]): Stage | null {
  const own = through[0]?.parts.find((one) => one.part === child);
  const link = own === undefined ? null : stageOf(own);
  const arrived = arriving(child, through);
  if (arrived === null || link === null) return arrived;
  return link.bytesPerSecond < arrived.bytesPerSecond ? link : arrived;
}

function partBelow(part: string, way: Way): string | null {
  const at = way.parts.findIndex((one) => one.part === part);
  return way.parts[at - 1]?.part ?? null;
}
