import type { Estimate, PathEstimate } from './types.js';

/**
 * The paths that are worth a line each: writing is told for arrays, where it can differ, and a part
 * that carries the data of one drive alone is told by that drive.
 */
export function shownPaths({ paths }: Estimate): readonly PathEstimate[] {
  return paths.filter(
    ({ path, direction, drives }) =>
      path.startsWith('array:') ||
      (direction === 'read' && (!path.startsWith('group:') || drives.length > 1)),
  );
}
