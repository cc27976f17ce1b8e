import {
  type WayColumn,
  type WayLink,
  type WayNode,
  type WayOfData,
  wayColumns,
} from '../checks/model/estimate/way-of-data.js';

/** A part in the drawing; lengths in pixels of the drawing. */
export interface DrawnPart {
  readonly node: WayNode;
  readonly x: number;
  /** Middle of the part. */
  readonly y: number;
}

/** A link between two parts, as thick as what it carries. */
export interface DrawnLink {
  readonly path: string;
  readonly thickness: number;
  /** True where no part of the link tells what it carries. */
  readonly unknown: boolean;
  /** True where the part that it leads to holds something back. */
  readonly limit: boolean;
}

export interface Drawing {
  readonly width: number;
  readonly height: number;
  readonly headings: readonly { readonly text: string; readonly x: number }[];
  readonly parts: readonly DrawnPart[];
  readonly links: readonly DrawnLink[];
  /** What the thickest line carries, bytes per second; null when nothing is told. */
  readonly thickest: number | null;
}

export const partWidth = 114;
export const partHeight = 46;
const columnGap = 22;
const rowGap = 12;
const headingHeight = 28;
const thicknessMax = 26;
const thicknessMin = 1.5;

const headings: Readonly<Record<WayColumn, string>> = {
  drive: 'Bays and drives',
  cable: 'Leads and cables',
  port: 'Ports',
  host: 'Controllers, cards',
  slot: 'Slots',
  chipset: 'Chipset link',
  processor: 'Processor',
  'outward-chipset': 'Chipset link',
  'outward-slot': 'Slots',
  'outward-host': 'Network cards',
  'outward-port': 'Network ports',
  switch: 'Cables, switches',
  client: 'Clients',
};

/**
 * Places the parts of a way from left to right: a column for each kind of part that there is, parts
 * below each other, each as near as can be to what leads to it. Several parts of one kind in one
 * line (a port and the port that it multiplies) follow each other in columns of their own. Pure.
 */
export function drawWay(way: WayOfData): Drawing {
  const columns = columnsOf(way);
  const parts = placeParts(columns, way.links);
  const byId = new Map(parts.map((part): [string, DrawnPart] => [part.node.id, part]));
  const rates = way.nodes.flatMap(({ bytesPerSecond }) => bytesPerSecond ?? []);
  const thickest = rates.length === 0 ? null : Math.max(...rates);
  const rows = Math.max(0, ...parts.map(({ y }) => y));
  return {
    width: Math.max(1, columns.length) * (partWidth + columnGap) - columnGap,
    height: rows + partHeight / 2 + rowGap,
    headings: columns.map(({ heading }, at) => ({
      text: heading,
      x: at * (partWidth + columnGap),
    })),
    parts,
    links: way.links.flatMap((link) => drawLink(link, { byId, links: way.links, thickest })),
    thickest,
  };
}

interface Column {
  readonly heading: string;
  readonly nodes: readonly WayNode[];
}

/** The longest run of parts of one kind in any line tells how many columns that kind takes. */
function columnsOf({ nodes, lines }: WayOfData): readonly Column[] {
  const byId = new Map(nodes.map((node): [string, WayNode] => [node.id, node]));
  const depth = new Map<string, number>();
  for (const line of lines) {
    const met = new Map<WayColumn, number>();
    for (const node of line.flatMap((id) => byId.get(id) ?? [])) {
      const at = met.get(node.column) ?? 0;
      depth.set(node.id, Math.max(depth.get(node.id) ?? 0, at));
      met.set(node.column, at + 1);
    }
  }
  return wayColumns.flatMap((column) => {
    const own = nodes.filter((node) => node.column === column);
    const deepest = Math.max(-1, ...own.map(({ id }) => depth.get(id) ?? 0));
    return Array.from({ length: deepest + 1 }, (_, at) => ({
      heading: at === 0 ? headings[column] : '',
      nodes: own.filter(({ id }) => (depth.get(id) ?? 0) === at),
    }));
  });
}

function placeParts(columns: readonly Column[], links: readonly WayLink[]): readonly DrawnPart[] {
  const placed = new Map<string, DrawnPart>();
  for (const [at, { nodes }] of columns.entries()) {
    const wanted = nodes.map((node) => ({ node, y: wantedRow(node, links, placed) }));
    let next = headingHeight + partHeight / 2;
    for (const { node, y } of wanted.toSorted((one, other) => (one.y ?? 0) - (other.y ?? 0))) {
      const row = Math.max(next, y ?? next);
      placed.set(node.id, { node, x: at * (partWidth + columnGap), y: row });
      next = row + partHeight + rowGap;
    }
  }
  return [...placed.values()];
}

/** The middle of all parts that lead here; null for the first column. */
function wantedRow(
  node: WayNode,
  links: readonly WayLink[],
  placed: ReadonlyMap<string, DrawnPart>,
): number | null {
  const rows = links.flatMap(({ from, to }) => (to === node.id ? (placed.get(from)?.y ?? []) : []));
  return rows.length === 0 ? null : rows.reduce((sum, row) => sum + row, 0) / rows.length;
}

function drawLink(
  link: WayLink,
  so: {
    readonly byId: ReadonlyMap<string, DrawnPart>;
    readonly links: readonly WayLink[];
    readonly thickest: number | null;
  },
): readonly DrawnLink[] {
  const [from, to] = [so.byId.get(link.from), so.byId.get(link.to)];
  if (from === undefined || to === undefined) return [];
  const rate = rateOf(link, so);
  const share = rate === null || so.thickest === null ? 0 : rate / so.thickest;
  const start = from.x + partWidth;
  const bend = (to.x - start) / 2;
  return [
    {
      path: `M${start} ${from.y} C${start + bend} ${from.y} ${to.x - bend} ${to.y} ${to.x} ${to.y}`,
      thickness: Math.max(thicknessMin, share * thicknessMax),
      unknown: rate === null,
      limit:
        to.node.holdsBack.length > 0 ||
        (from.node.column === 'drive' && from.node.holdsBack.length > 0),
    },
  ];
}

/** What the part at the link's end lets through; a cable carries what the port after it does. */
function rateOf(
  { from, to }: WayLink,
  so: { readonly byId: ReadonlyMap<string, DrawnPart>; readonly links: readonly WayLink[] },
): number | null {
  const end = so.byId.get(to)?.node;
  if (end?.column === 'cable') {
    const next = so.links.find((one) => one.from === to)?.to;
    return so.byId.get(next ?? '')?.node.bytesPerSecond ?? null;
  }
  return end?.bytesPerSecond ?? so.byId.get(from)?.node.bytesPerSecond ?? null;
}

/** The part of a way that leads from drives to the processor, or from there to the clients. */
export function partOfWay(way: WayOfData, side: 'inward' | 'outward'): WayOfData {
  const lines = way.lines.filter(
    (line) => line[0]?.startsWith('processor ') === (side === 'outward'),
  );
  const ids = new Set(lines.flat());
  return {
    nodes: way.nodes.filter(({ id }) => ids.has(id)),
    links: way.links.filter(({ from, to }) => ids.has(from) && ids.has(to)),
    lines,
  };
}
