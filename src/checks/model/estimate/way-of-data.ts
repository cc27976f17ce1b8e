import type { BoxModel } from '../parse.js';
import type { Entry } from '../schema.js';
import { type ChainStage, driveChain, hostChain, splitPort } from '../topology.js';
import { findPath } from './find-path.js';
import { pathWords } from './path-words.js';
import { stageOf } from './stages.js';
import type { Estimate, Stage } from './types.js';

/** From left to right as reading goes: drives, what they hang on, the processor, then outwards. */
export const wayColumns = [
  'drive',
  'cable',
  'port',
  'host',
  'slot',
  'chipset',
  'processor',
  'outward-chipset',
  'outward-slot',
  'outward-host',
  'outward-port',
  'switch',
  'client',
] as const;
export type WayColumn = (typeof wayColumns)[number];

/** A part on the way of the data. */
export interface WayNode {
  /** One of a kind within the drawing; the part's id with its column. */
  readonly id: string;
  readonly part: string;
  readonly column: WayColumn;
  readonly label: string;
  readonly detail: string | null;
  /** What the part lets through, bytes per second; null when the model does not tell. */
  readonly bytesPerSecond: number | null;
  readonly why: string | null;
  /** Paths that this part holds back, in words. */
  readonly holdsBack: readonly string[];
}

export interface WayLink {
  readonly from: string;
  readonly to: string;
}

export interface WayOfData {
  readonly nodes: readonly WayNode[];
  readonly links: readonly WayLink[];
  /** Each drive's and each client's way as the ids of its nodes, left to right. */
  readonly lines: readonly (readonly string[])[];
}

/**
 * The way of the data from the drives to the clients, each part once for all that share it: for a
 * drawing and for words. Parts that hold back an array, a client or a group are marked with the
 * paths they hold back. Pure; drives and clients without a place in the model stand alone.
 */
export function wayOfData(model: BoxModel, found: Estimate): WayOfData {
  const lines = [
    ...sortedDrives(model).map((drive) => driveLine(model, drive, found)),
    ...model.clients.map((client) => clientLine(model, client, found)),
  ];
  const nodes = new Map(lines.flat().map((node): [string, WayNode] => [node.id, node]));
  const links = lines.flatMap((line) =>
    line.slice(1).map((node, at): WayLink => ({ from: line[at]?.id ?? node.id, to: node.id })),
  );
  const seen = new Set<string>();
  return {
    nodes: [...nodes.values()],
    links: links.filter(({ from, to }) => !seen.has(`${from}>${to}`) && seen.add(`${from}>${to}`)),
    lines: lines.map((line) => line.map(({ id }) => id)),
  };
}

/** Drives of one controller beside each other, in the order of the model otherwise. */
function sortedDrives(model: BoxModel): readonly Entry<'drive'>[] {
  const hosts = [...model.controllers, ...model.cards].map(({ id }) => id);
  const rank = (drive: Entry<'drive'>) => {
    const at = hosts.indexOf(splitPort(drive.port)?.host ?? '');
    return at < 0 ? hosts.length : at;
  };
  return model.drives.toSorted((one, other) => rank(one) - rank(other));
}

function driveLine(model: BoxModel, drive: Entry<'drive'>, found: Estimate): readonly WayNode[] {
  const { serial, bay, port } = drive;
  const own = findPath(found.paths, { path: `drive:${serial}` })?.stages.find(
    ({ part }) => part === serial,
  );
  const detail = bay === undefined ? null : `bay ${bay}`;
  const start = nodeOf('drive', { part: serial, label: serial, detail, stage: own ?? null }, found);
  const chain = driveChain(model, serial, {}).slice(1);
  return [
    start,
    ...cableNode(model, { serial, port }, found),
    ...chain.map((stage) => chainNode(stage, columnOf(stage), found)),
    processorNode(found),
  ];
}

function cableNode(
  model: BoxModel,
  { serial, port }: { readonly serial: string; readonly port: string | undefined },
  found: Estimate,
): readonly WayNode[] {
  const cable = model.cables.find(({ ports }) => port !== undefined && ports?.includes(port));
  const lead = model.powerLeads.find(({ feeds }) => feeds.includes(serial));
  if (cable === undefined && lead === undefined) return [];
  const part = cable?.id ?? `cable of ${serial}`;
  const label = cable?.id ?? 'data cable not told';
  const detail = lead === undefined ? null : `power: ${lead.id}`;
  return [nodeOf('cable', { part, label, detail, stage: null }, found)];
}

const chainColumns: Readonly<Record<ChainStage['kind'], WayColumn>> = {
  drive: 'drive',
  backplane: 'port',
  port: 'port',
  controller: 'host',
  card: 'host',
  slot: 'slot',
  'chipset-link': 'chipset',
};

const outwardColumns: Readonly<Partial<Record<ChainStage['kind'], WayColumn>>> = {
  'chipset-link': 'outward-chipset',
  slot: 'outward-slot',
  card: 'outward-host',
  controller: 'outward-host',
};

function columnOf({ kind }: ChainStage): WayColumn {
  return chainColumns[kind];
}

function chainNode(stage: ChainStage, column: WayColumn, found: Estimate): WayNode {
  const own = stageOf(stage);
  return nodeOf(
    column,
    { part: stage.part, label: stage.part, detail: own?.why ?? null, stage: own },
    found,
  );
}

function processorNode(found: Estimate): WayNode {
  const words = { label: 'Processor', detail: 'and memory' };
  return nodeOf('processor', { part: 'memory', ...words, stage: null }, found);
}

function clientLine(model: BoxModel, client: Entry<'client'>, found: Estimate): readonly WayNode[] {
  const place = splitPort(client.from);
  const host = place === null ? [] : [...hostChain(model, place.host)].reverse();
  const path = findPath(found.paths, { path: `client:${client.name}/memory` });
  const inside = new Set(['memory', ...host.map(({ part }) => part)]);
  const outside = (path?.stages ?? []).filter(({ part }) => !inside.has(part));
  return [
    processorNode(found),
    ...host.map((stage) => chainNode(stage, outwardColumns[stage.kind] ?? 'outward-host', found)),
    ...outside.map((stage) => {
      const column = outsideColumn(stage, client.from, `client:${client.name}`);
      const label = column === 'client' ? client.name : stage.part;
      return nodeOf(column, { part: stage.part, label, detail: stage.why, stage }, found);
    }),
  ];
}

function outsideColumn(stage: Stage, from: string | undefined, client: string): WayColumn {
  if (stage.part === client) return 'client';
  return stage.part === from ? 'outward-port' : 'switch';
}

interface Drawn extends Pick<WayNode, 'part' | 'label' | 'detail'> {
  readonly stage: Stage | null;
}

function nodeOf(
  column: WayColumn,
  { part, label, detail, stage }: Drawn,
  found: Estimate,
): WayNode {
  return {
    id: `${column} ${part}`,
    part,
    column,
    label,
    detail,
    bytesPerSecond: stage?.bytesPerSecond ?? null,
    why: stage?.why ?? null,
    holdsBack: heldBy(part, found),
  };
}

/** Arrays and clients that a part holds back; many streams are named where one is not held. */
function heldBy(part: string, found: Estimate): readonly string[] {
  const held = found.paths.filter(
    ({ path, limit }) => limit?.part === part && /^(array|client):/.test(path),
  );
  const withOne = held.filter(({ streams }) => streams === 'one');
  const isTold = (many: (typeof held)[number]) =>
    withOne.some(({ path, direction }) => path === many.path && direction === many.direction);
  return held.filter((one) => one.streams === 'one' || !isTold(one)).map((one) => pathWords(one));
}
