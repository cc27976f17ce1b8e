const lengthMax = 64;

/**
 * Number of single-character changes (insert, remove, replace, swap neighbours) that turn one
 * word into the other. Optimal string alignment distance; Damerau 1964, from memory.
 * Never throws; the cost is the product of the lengths.
 */
export function editDistance(from: string, to: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: to.length + 1 }, (_, column) => column);
  for (let row = 1; row <= from.length; row += 1) {
    const current = [row];
    for (let column = 1; column <= to.length; column += 1) {
      const same = from[row - 1] === to[column - 1];
      let best = Math.min(
        (last[column] ?? 0) + 1,
        (current[column - 1] ?? 0) + 1,
        (last[column - 1] ?? 0) + (same ? 0 : 1),
      );
      const swapped = from[row - 1] === to[column - 2] && from[row - 2] === to[column - 1];
      if (row > 1 && column > 1 && swapped) {
        best = Math.min(best, (beforeLast[column - 2] ?? 0) + 1);
      }
      current.push(best);
    }
    beforeLast = last;
    last = current;
  }
  return last[to.length] ?? 0;
}

/**
 * The known name that a mistyped one most likely meant: at most a third of its letters differ,
 * letter case aside. Null when nothing is that near. The first of equals in the given order wins.
 */
export function nearestName(found: string, known: Iterable<string>): string | null {
  if (found.length === 0 || found.length > lengthMax) {
    return null;
  }
  const wanted = found.toLowerCase();
  let best: { name: string; distance: number } | null = null;
  for (const name of known) {
    if (name.length > lengthMax) continue;
    const distance = editDistance(wanted, name.toLowerCase());
    const near = distance <= Math.max(1, Math.floor(Math.max(wanted.length, name.length) / 3));
    if (near && (best === null || distance < best.distance)) {
      best = { name, distance };
    }
  }
  return best?.name ?? null;
}
