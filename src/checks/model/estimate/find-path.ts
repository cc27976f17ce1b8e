import type { PathEstimate } from './types.js';

type Wanted = Pick<PathEstimate, 'path'> & Partial<Pick<PathEstimate, 'direction' | 'streams'>>;

/** The first path of this name: reading where no direction is told, any streams where none are. */
export function findPath(
  paths: readonly PathEstimate[],
  { path, direction = 'read', streams }: Wanted,
): PathEstimate | undefined {
  return paths.find(
    (one) =>
      one.path === path &&
      one.direction === direction &&
      (streams === undefined || one.streams === streams),
  );
}
