import { inventoryChanges, type PartLook } from '../checks/inventory-changes.js';
import type { Inventory, PartSeen } from '../checks/part.js';
import type { Instant, PartToKeep } from './store/rows.js';
import type { StoreWriter } from './store/store.js';

/**
 * Keeps every part that was found, and as events what is different from the newest look before.
 * All of it is one transaction: a cut leaves the look before, against which the next one compares.
 */
export function keepInventory(store: StoreWriter, inventory: Inventory, now: Instant): void {
  const parts = partsOf(inventory).map(toKeep);
  store.together(() => {
    const kept = store.parts().map((part) => ({
      ...part,
      isGone: part.gone !== undefined,
      isOfThisBoot: part.lastSeen.boot === now.boot,
    }));
    const changes = inventoryChanges(kept, parts.map(asKept));
    for (const part of parts) store.keepPart(part, now);
    markGone(store, { kept, parts, now });
    const events = changes.map(({ kind, identityKey, text, record }) => ({
      identityKey,
      event: {
        kind,
        key: `look ${now.monoMs}:${kind}:${identityKey}:${record}`,
        monoMs: now.monoMs,
        positionBytes: null,
        text,
        record,
      },
    }));
    store.keepEvents(now, { events, logReadTo: null });
  });
}

interface Compared {
  readonly kept: readonly (PartLook & { readonly isGone: boolean })[];
  readonly parts: readonly PartToKeep[];
  readonly now: Instant;
}

/** A part that stays away keeps the moment of the look that missed it first. */
function markGone(store: StoreWriter, { kept, parts, now }: Compared): void {
  const seen = new Set(parts.map(({ identityKey }) => identityKey));
  for (const { identityKey, isGone } of kept) {
    if (isGone === seen.has(identityKey)) store.markGone(identityKey, isGone ? null : now);
  }
}

/** What is kept is JSON, so what is seen is compared as it would come back. */
function asKept(part: PartToKeep): PartLook {
  return { ...part, details: { ...JSON.parse(JSON.stringify(part.details)) } };
}

export function partsOf(inventory: Inventory): readonly PartSeen[] {
  const { drives, controllers, sensorChips, arrays = [], memory = [] } = inventory;
  const own = [inventory.box, inventory.management].filter((one) => one !== undefined);
  return [...own, ...drives, ...controllers, ...sensorChips, ...arrays, ...memory];
}

export function toKeep(part: PartSeen): PartToKeep {
  return {
    kind: part.kind,
    identityKey: part.identityKey,
    name: part.id,
    label: part.kind === 'drive' ? part.model : part.label,
    details: { ...part },
  };
}
