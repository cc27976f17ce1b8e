import type { ControllerSeen, DriveSeen, Inventory } from '../part.js';
import type { BoxModel } from './parse.js';
import type { ModelCard, ModelController } from './schema.js';

/** A controller or card of the model: what the two kinds of entries have in common. */
export type ModelHost = ModelController | ModelCard;

/**
 * Gives the parts of an inventory the ids that the model file knows them by: controllers and cards
 * by PCI address or hardware address. A drive's id is its serial already. Parts that the model does
 * not know keep their ids. Returns a new inventory; never throws.
 */
export function nameParts(model: BoxModel, inventory: Inventory): Inventory {
  const newIds = new Map<string, string>();
  const controllers = inventory.controllers.map((seen) => {
    const host = hostOf(model, seen);
    if (host === null) return seen;
    newIds.set(seen.id, host.id);
    return { ...seen, id: host.id };
  });
  const drives = inventory.drives.map((drive) => renamed(drive, newIds));
  return { ...inventory, controllers, drives };
}

/** The controller or card of the model that is this part, by address; null when none says so. */
export function hostOf(model: BoxModel, seen: ControllerSeen): ModelHost | null {
  const hosts: readonly ModelHost[] = [...model.controllers, ...model.cards];
  const byPci = hosts.find((host) => host.pci !== undefined && samePci(host.pci, seen.pciAddress));
  if (byPci !== undefined) return byPci;
  const address = seen.hardwareAddress?.toLowerCase();
  return hosts.find((host) => isSame(host.hardwareAddress?.toLowerCase(), address)) ?? null;
}

/** A port's name as an id of a model file: other characters become dashes. */
export function portIdOf(port: string): string {
  const plain = port.replace(/[^A-Za-z0-9_:-]+/g, '-').replace(/^[^A-Za-z0-9]+/, '');
  return plain === '' ? 'port' : plain.slice(0, 64);
}

function renamed(drive: DriveSeen, newIds: ReadonlyMap<string, string>): DriveSeen {
  const controller = drive.controller === null ? undefined : newIds.get(drive.controller);
  return controller === undefined ? drive : { ...drive, controller };
}

function isSame(one: string | undefined, other: string | undefined): boolean {
  return one !== undefined && one === other;
}

/** The domain in front (0000:) may be left out in a model file. */
function samePci(written: string, seen: string | null): boolean {
  const full = (address: string) =>
    /^[0-9a-f]{4}:/i.test(address) && address.split(':').length === 3 ? address : `0000:${address}`;
  return seen !== null && full(written).toLowerCase() === full(seen).toLowerCase();
}
