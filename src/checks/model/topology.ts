import { type Ceiling, diskLinkCeiling, pciCeiling } from './ceilings.js';
import type { ModelHost } from './name-parts.js';
import type { BoxModel } from './parse.js';
import type { ModelCard, ModelDrive, ModelPort, ModelSlot } from './schema.js';

/** One part on a drive's way to the processor. `ceiling` is null where the model does not tell. */
export interface ChainStage {
  readonly kind: 'drive' | 'port' | 'controller' | 'card' | 'slot' | 'chipset-link';
  /** The model's id; a drive's is its serial, a port's CONTROLLER-OR-CARD-ID.PORT-ID. */
  readonly part: string;
  readonly ceiling: Ceiling | null;
}

/**
 * The parts that the data of a drive passes, from the drive to the chipset link: drive, port (and
 * the port that it multiplies), controller or card, slot, chipset link. Ends where the model ends.
 * A drive that the model does not know has an empty chain.
 */
export function driveChain(model: BoxModel, serial: string): readonly ChainStage[] {
  const drive = model.drives.find((one) => one.serial === serial);
  if (drive === undefined) return [];
  const own = driveStage(drive);
  if (drive.slot !== undefined) return [own, ...slotStages(model, drive)];
  const place = splitPort(drive.port);
  if (place === null) return [own];
  const card = model.cards.find((one) => one.id === place.host);
  const controller = model.controllers.find((one) => one.id === place.host);
  const ports = portStages(card ?? controller, place.port);
  if (card !== undefined)
    return [own, ...ports, hostStage('card', card), ...slotStages(model, card)];
  if (controller === undefined) return [own, ...ports];
  const behind = chipsetStage(model, controller.behind);
  return [own, ...ports, hostStage('controller', controller), ...behind];
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

function driveStage(drive: ModelDrive): ChainStage {
  const { serial, generation, lanes } = drive;
  return { kind: 'drive', part: serial, ceiling: pciCeilingOf(generation, lanes) };
}

function hostStage(kind: 'controller' | 'card', host: ModelHost): ChainStage {
  return { kind, part: host.id, ceiling: pciCeilingOf(host.generation, host.lanes) };
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

function slotStages(model: BoxModel, inSlot: ModelCard | ModelDrive): readonly ChainStage[] {
  const slot = model.slots.find((one) => one.id === inSlot.slot);
  if (slot === undefined) return [];
  return [
    { kind: 'slot', part: slot.id, ceiling: slotCeiling(slot, inSlot) },
    ...chipsetStage(model, slot.behind),
  ];
}

/** What slot and card can do together: the fewer lanes at the older generation. */
function slotCeiling(slot: ModelSlot, inSlot: ModelCard | ModelDrive): Ceiling | null {
  const generation = Math.min(slot.generation, inSlot.generation ?? slot.generation);
  return pciCeiling(generation, Math.min(slot.wired, inSlot.lanes ?? slot.wired));
}

function chipsetStage(model: BoxModel, id: string | undefined): readonly ChainStage[] {
  const link = model.chipsetLinks.find((one) => one.id === id);
  if (link === undefined) return [];
  const ceiling = pciCeiling(link.generation, link.lanes);
  return [{ kind: 'chipset-link', part: link.id, ceiling }];
}

function pciCeilingOf(generation: number | undefined, lanes: number | undefined): Ceiling | null {
  return generation === undefined || lanes === undefined ? null : pciCeiling(generation, lanes);
}
