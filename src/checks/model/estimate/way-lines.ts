import { formatBytesPerSecond } from '../../units.js';
import type { WayNode, WayOfData } from './way-of-data.js';

/**
 * The way of the data in words, a line for each drive and each client, left to right, with what
 * each part lets through and a note where it holds something back.
 */
export function wayLines({ nodes, lines }: WayOfData): readonly string[] {
  const byId = new Map(nodes.map((node): [string, WayNode] => [node.id, node]));
  return lines.map((line) =>
    line
      .flatMap((id) => byId.get(id) ?? [])
      .map(nodeWords)
      .join(' → '),
  );
}

/** "disk-card.1 550 MB/s", with the limit said: "holds back reading recordings". */
export function nodeWords({ label, column, detail, bytesPerSecond, holdsBack }: WayNode): string {
  if (column === 'processor') return `${label} ${detail ?? ''}`.trim();
  const place = (column === 'drive' || column === 'cable') && detail !== null ? ` (${detail})` : '';
  const rate = bytesPerSecond === null ? '' : ` ${formatBytesPerSecond(bytesPerSecond)}`;
  const limit = holdsBack.length === 0 ? '' : ' [limit]';
  return `${label}${place}${rate}${limit}`;
}

/** What each limiting part holds back, one sentence a part. */
export function limitLines({ nodes }: WayOfData): readonly string[] {
  const told = new Set<string>();
  return nodes
    .filter(({ part, holdsBack }) => holdsBack.length > 0 && !told.has(part) && told.add(part))
    .map(({ label, why, holdsBack }) => {
      const reason = why === null ? '' : ` (${why})`;
      return `${label}${reason} holds back ${holdsBack.join('; ')}`;
    });
}
