import { formatBytesPerSecond } from '../../units.js';
import type { BoxModel } from '../parse.js';
import type { ModelCard } from '../schema.js';
import { splitPort } from '../topology.js';
import { findPath } from './find-path.js';
import { smallestStage } from './stages.js';
import type { Estimate, PathEstimate } from './types.js';

/** A part that looks small and is not: nothing that this build can bring would fill it. */
export interface Enough {
  readonly part: string;
  /** What it lets through, and the most that can ever come to it; bytes per second. */
  readonly carries: number;
  readonly needed: number;
  readonly text: string;
}

/** Room that must be left for a part to be called enough: a tenth (our choice). */
const roomShare = 0.1;

/**
 * Parts of which a careful builder might think that they hold something back, and which do not:
 * cards in a slot that gives less than the card or less than the slot could, ports of disks at less
 * than 6 Gb/s, and network ports faster than what is behind them. Pure; what cannot be told is left
 * out.
 */
export function enoughOf(model: BoxModel, found: Estimate): readonly Enough[] {
  return [
    ...model.cards.flatMap((card) => narrowSlot(model, card, found)),
    ...slowPorts(model, found),
    ...networkPorts(model, found),
  ];
}

/** Disk cards: what the drives behind the slot bring together against what it carries. */
function narrowSlot(model: BoxModel, card: ModelCard, found: Estimate): readonly Enough[] {
  const slot = model.slots.find(({ id }) => id === card.slot);
  if (slot === undefined || !couldBeWider(card, slot)) return [];
  const path = findPath(found.paths, { path: `group:${slot.id}` });
  const needed = path === undefined ? networkNeed(model, card.id, found) : arrivingAt(path);
  const carries = carriedBy(found, slot.id);
  if (carries === null || needed === null || needed > carries * (1 - roomShare)) return [];
  const why = `${card.id} in ${slot.id} carries ${formatBytesPerSecond(carries)}`;
  return [
    {
      part: slot.id,
      carries,
      needed,
      text: `${why}, and at most ${formatBytesPerSecond(needed)} can come to it: enough for this build`,
    },
  ];
}

function couldBeWider(
  card: ModelCard,
  slot: { readonly wired: number; readonly size: number; readonly generation: number },
): boolean {
  const { lanes = slot.wired, generation = slot.generation } = card;
  return lanes !== slot.wired || generation !== slot.generation || slot.wired < slot.size;
}

/** The first stage of a group is what arrives at the part; null when a drive's speed is missing. */
function arrivingAt({ path, stages }: PathEstimate): number | null {
  const part = path.slice('group:'.length);
  const [first] = stages;
  return first === undefined || first.part === part ? null : first.bytesPerSecond;
}

/** The most that any array or the clients' own links can move over a network card or controller. */
function networkNeed(model: BoxModel, host: string, found: Estimate): number | null {
  const clients = model.clients.filter(({ from }) => splitPort(from)?.host === host);
  const rates = clients.map(({ name }) => mostOfClient(name, host, found));
  const known = rates.filter((rate) => rate !== null);
  if (known.length === 0 || known.length < rates.length) return null;
  return known.reduce((sum, rate) => sum + rate, 0);
}

/** What a client could take if the host were out of the way: its way without the host's stages. */
function mostOfClient(name: string, host: string, found: Estimate): number | null {
  const path = findPath(found.paths, { path: `client:${name}/memory` });
  const others = (path?.stages ?? []).filter(
    ({ part }) => part === `client:${name}` || !(part === host || part.startsWith(`${host}.`)),
  );
  return smallestStage(others)?.bytesPerSecond ?? null;
}

/** What a link lets through, from any path of drives, groups or the memory that passes it. */
function carriedBy({ paths }: Estimate, wanted: string): number | null {
  const stages = paths.filter(isOfLinks).flatMap((path) => path.stages);
  return stages.find(({ part }) => part === wanted)?.bytesPerSecond ?? null;
}

/** In an array's path a stage is told as user data of the array, not as what the link carries. */
function isOfLinks({ path }: PathEstimate): boolean {
  return !path.startsWith('array:') && (!path.startsWith('client:') || path.endsWith('/memory'));
}

const fullDiskLink = 6e9;

function slowPorts(model: BoxModel, found: Estimate): readonly Enough[] {
  return [...model.controllers, ...model.cards].flatMap((host) =>
    (host.ports ?? []).flatMap(({ id, link }) => {
      if (link === undefined || link >= fullDiskLink) return [];
      const port = `${host.id}.${id}`;
      const path = findPath(found.paths, { path: `group:${port}` });
      const carries = path?.stages.find(({ part }) => part === port)?.bytesPerSecond;
      const needed = path === undefined ? null : arrivingAt(path);
      if (carries === undefined || needed === null || needed > carries * (1 - roomShare)) return [];
      const text =
        `${port} runs at ${link / 1e9} Gb/s and carries ${formatBytesPerSecond(carries)}; ` +
        `${formatBytesPerSecond(needed)} come to it: enough for this drive`;
      return [{ part: port, carries, needed, text }];
    }),
  );
}

/** A network port that no array and no client of this build can fill. */
function networkPorts(model: BoxModel, found: Estimate): readonly Enough[] {
  const ports = [...new Set(model.clients.flatMap(({ from }) => from ?? []))];
  return ports.flatMap((port) => {
    const carries = carriedBy(found, port);
    const needed = fastestArray(found);
    if (carries === null || needed === null || needed > carries * (1 - roomShare)) return [];
    const text =
      `${port} carries ${formatBytesPerSecond(carries)}; the fastest array gives ` +
      `${formatBytesPerSecond(needed)}, so only copies that fit in memory could ask for more`;
    return [{ part: port, carries, needed, text }];
  });
}

function fastestArray(found: Estimate): number | null {
  const rates = found.paths
    .filter(({ path, direction }) => path.startsWith('array:') && direction === 'read')
    .map(({ limit }) => limit?.bytesPerSecond ?? null);
  const known = rates.filter((rate) => rate !== null);
  return known.length === 0 || known.length < rates.length ? null : Math.max(...known);
}
