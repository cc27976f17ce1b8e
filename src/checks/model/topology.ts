import { type Ceiling, diskLinkCeiling, pciCeiling, scaledCeiling } from './ceilings.js';
import type { ModelHost } from './name-parts.js';
import type { BoxModel } from './parse.js';
import type { Entry, ModelCard, ModelDrive, ModelPort, ModelSlot } from './schema.js';

/** One part on a drive's way to the processor. `ceiling` is null where the model does not tell. */
export interface ChainStage {
  readonly kind: 'drive' | 'port' | 'backplane' | 'controller' | 'card' | 'slot' | 'chipset-link';
  /** The model's id; a drive's is its serial, a port's CONTROLLER-OR-CARD-ID.PORT-ID. */
  readonly part: string;
  readonly ceiling: Ceiling | null;
}

/** A controller or card that data arrives at, by the port that it comes in. */
interface Arrival {
  readonly model: BoxModel;
  readonly port: { readonly host: string; readonly port: string };
  readonly payloadBytes: number | undefined;
}

/**
 * The parts that the data of a drive passes, from the drive to the chipset link: drive, port (and
 * the port that it multiplies), expander, controller or card, slot, chipset link. Ends where the
 * model ends. A drive that the model does not know has an empty chain. `payloadBytes` is the packet
 * size of PCI Express links to which the model gives none.
 */
export function driveChain(
  model: BoxModel,
  serial: string,
  { payloadBytes }: { readonly payloadBytes?: number } = {},
): readonly ChainStage[] {
  const drive = model.drives.find((one) => one.serial === serial);
  if (drive === undefined) return [];
  const own = driveStage(drive, payloadBytes);
  if (drive.slot !== undefined) return [own, ...slotStages(model, drive, payloadBytes)];
  const expander = expanderOf(model, drive);
  const place = splitPort(drive.port ?? expander?.ports[0]);
  if (place === null) return [own];
  const arrival = { model, port: place, payloadBytes };
  if (expander === undefined) return [own, ...wayIn(arrival, place.port)];
  return [own, expanderStage(expander), ...wayIn(arrival, null)];
}

/** The way of the data of a card or controller to the chipset link, starting with itself. */
export function hostChain(
  model: BoxModel,
  hostId: string,
  { payloadBytes }: { readonly payloadBytes?: number } = {},
): readonly ChainStage[] {
  return wayIn({ model, port: { host: hostId, port: '' }, payloadBytes }, null);
}

function wayIn({ model, port, payloadBytes }: Arrival, portId: string | null) {
  const card = model.cards.find((one) => one.id === port.host);
  const controller = model.controllers.find((one) => one.id === port.host);
  const ports = portId === null ? [] : portStages(card ?? controller, portId);
  if (card !== undefined) {
    const behind = slotStages(model, card, payloadBytes);
    return [...ports, hostStage('card', card, payloadBytes), ...behind];
  }
  if (controller === undefined) return ports;
  const behind = chipsetStage(model, controller.behind, payloadBytes);
  return [...ports, hostStage('controller', controller, payloadBytes), ...behind];
}

type Backplane = Entry<'backplane'>;

/** The expander whose bay the drive sits in; a plain backplane only joins wires. */
function expanderOf(model: BoxModel, drive: ModelDrive): Backplane | undefined {
  return model.backplanes.find(
    (one) =>
      one.uplinkLanes !== undefined &&
      ((drive.bay !== undefined && one.bays.includes(drive.bay)) ||
        (drive.port !== undefined && one.ports.includes(drive.port))),
  );
}

/** 6 Gb/s where the model tells no link: the slowest that expanders in use have. */
const usualExpanderLink = 6e9;

function expanderStage(expander: Backplane): ChainStage {
  const one = diskLinkCeiling(expander.link ?? usualExpanderLink);
  const ceiling = one === null ? null : scaledCeiling(one, expander.uplinkLanes ?? 1);
  return { kind: 'backplane', part: expander.id, ceiling };
}

/**
 * The lowest ceiling on a drive's way when it works alone, with its part; null when the model tells
 * of none. Compared by the payload that is surely left (`low`); the first of equals counts.
 */
export function lowestCeiling(
  chain: readonly ChainStage[],
): { readonly part: string; readonly ceiling: Ceiling } | null {
  let lowest: { part: string; ceiling: Ceiling } | null = null;
  for (const { part, ceiling } of chain) {
    if (ceiling !== null && (lowest === null || ceiling.low < lowest.ceiling.low)) {
      lowest = { part, ceiling };
    }
  }
  return lowest;
}

/** Splits CONTROLLER-OR-CARD-ID.PORT-ID at its dot; null when there is no such form. */
export function splitPort(
  port: string | undefined,
): { readonly host: string; readonly port: string } | null {
  const [host, name, ...more] = (port ?? '').split('.');
  if (host === undefined || host === '' || name === undefined || name === '') return null;
  return more.length > 0 ? null : { host, port: name };
}

function driveStage(drive: ModelDrive, payloadBytes: number | undefined): ChainStage {
  const ceiling = pciCeilingOf(drive, payloadBytes);
  return { kind: 'drive', part: drive.serial, ceiling };
}

function hostStage(
  kind: 'controller' | 'card',
  host: ModelHost,
  payloadBytes: number | undefined,
): ChainStage {
  return { kind, part: host.id, ceiling: pciCeilingOf(host, host.payload ?? payloadBytes) };
}

/** Walks multipliers down to the port of the chip; a ring of multipliers ends after one round. */
function portStages(host: ModelHost | undefined, portId: string): readonly ChainStage[] {
  const stages: ChainStage[] = [];
  const seen = new Set<string>();
  let port = portOf(host, portId);
  while (host !== undefined && port !== undefined && !seen.has(port.id)) {
    seen.add(port.id);
    const ceiling = port.link === undefined ? null : diskLinkCeiling(port.link);
    stages.push({ kind: 'port', part: `${host.id}.${port.id}`, ceiling });
    port = port.multiplierOf === undefined ? undefined : portOf(host, port.multiplierOf);
  }
  return stages;
}

function portOf(host: ModelHost | undefined, id: string): ModelPort | undefined {
  return host?.ports?.find((port) => port.id === id);
}

function slotStages(
  model: BoxModel,
  inSlot: ModelCard | ModelDrive,
  payloadBytes: number | undefined,
): readonly ChainStage[] {
  const slot = model.slots.find((one) => one.id === inSlot.slot);
  if (slot === undefined) return [];
  return [
    { kind: 'slot', part: slot.id, ceiling: slotCeiling(slot, inSlot, payloadBytes) },
    ...chipsetStage(model, slot.behind, payloadBytes),
  ];
}

/** What slot and card can do together: the fewer lanes at the older generation. */
function slotCeiling(
  slot: ModelSlot,
  inSlot: ModelCard | ModelDrive,
  payloadBytes: number | undefined,
): Ceiling | null {
  const generation = Math.min(slot.generation, inSlot.generation ?? slot.generation);
  const lanes = Math.min(slot.wired, inSlot.lanes ?? slot.wired);
  return pciCeiling(generation, lanes, slot.payload ?? payloadBytes);
}

function chipsetStage(
  model: BoxModel,
  id: string | undefined,
  payloadBytes: number | undefined,
): readonly ChainStage[] {
  const link = model.chipsetLinks.find((one) => one.id === id);
  if (link === undefined) return [];
  const ceiling = pciCeiling(link.generation, link.lanes, payloadBytes);
  return [{ kind: 'chipset-link', part: link.id, ceiling }];
}

function pciCeilingOf(
  end: { readonly generation?: number | undefined; readonly lanes?: number | undefined },
  payloadBytes: number | undefined,
): Ceiling | null {
  const { generation, lanes } = end;
  if (generation === undefined || lanes === undefined) return null;
  return pciCeiling(generation, lanes, payloadBytes);
}
