import type { ControllerSeen, Inventory, PartReadings } from '../checks/part.js';
import type { Box } from './box/box.js';
import { moduleReadings } from './probes/module-readings.js';

/**
 * The wire to a module is slow, and some drivers keep all network settings waiting while they read
 * it, so it is asked for less often than the kernel's files (our choice).
 */
const everyMs = 10 * 60_000;

/** Reads the modules in the plugs of network cards, each at most every ten minutes. */
export class ModuleRound {
  #lastMs: number | null = null;
  /** Cards whose driver has no such reading: it will not learn it while it runs. */
  readonly #withoutWay = new Set<string>();

  async read(box: Box, inventory: Inventory, monoMs: number): Promise<readonly PartReadings[]> {
    if (box.networkModule === undefined) return [];
    if (this.#lastMs !== null && monoMs - this.#lastMs < everyMs) return [];
    this.#lastMs = monoMs;
    const parts: PartReadings[] = [];
    for (const card of inventory.controllers.filter(hasPlug)) {
      if (this.#withoutWay.has(card.identityKey)) continue;
      const memory = await box.networkModule(card.interfaceName ?? '');
      if (!memory.ok && memory.absence.kind === 'not-supported') {
        this.#withoutWay.add(card.identityKey);
      }
      parts.push({ identityKey: card.identityKey, readings: moduleReadings(memory) });
    }
    return parts;
  }
}

/** A card that the host of a virtual machine makes up has no plug. */
function hasPlug(card: ControllerSeen): boolean {
  return card.kind === 'network-card' && card.virtual !== true && card.interfaceName !== undefined;
}
