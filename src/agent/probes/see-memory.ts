import type { MemorySeen } from '../../checks/part.js';
import type { Box, FirmwareModule } from '../box/box.js';
import { namesIn, numberOrNull, textOrNull } from './read-kernel.js';

export const memoryControllers = '/sys/devices/system/edac/mc';

/**
 * Memory by two sources that cannot be joined in general: places where the kernel counts errors,
 * and modules as firmware tables list them. Where the kernel's label of a place is the firmware's
 * name of a slot, the two are one part.
 */
export async function seeMemory(
  box: Box,
  firmware: readonly FirmwareModule[] | null,
): Promise<readonly MemorySeen[]> {
  const counted = await countedPlaces(box);
  const modules = (firmware ?? []).filter(({ sizeBytes }) => sizeBytes > 0);
  const named = counted.map((place) => withModule(place, modules));
  const taken = new Set(named.map(({ slot }) => slot));
  const others = modules.filter(({ slot }) => !taken.has(slot)).map(moduleAlone);
  return [...named, ...others];
}

async function countedPlaces(box: Box): Promise<readonly MemorySeen[]> {
  const found: MemorySeen[] = [];
  for (const controller of await namesIn(box, memoryControllers)) {
    if (!/^mc\d+$/.test(controller)) continue;
    const folder = `${memoryControllers}/${controller}`;
    const name = await textOrNull(box, `${folder}/mc_name`);
    const number = controller.slice(2);
    found.push({
      ...blank,
      id: `memory-controller-${number}`,
      identityKey: `memory:${controller}`,
      label: `Memory controller ${number}${name === null ? '' : `, ${name}`}`,
      folder,
    });
    for (const place of await namesIn(box, folder)) {
      if (/^(dimm|rank)\d+$/.test(place)) found.push(await countedPlace(box, folder, place));
    }
  }
  return found;
}

const blank = { kind: 'memory', slot: null, serial: null, sizeBytes: null } as const;

async function countedPlace(box: Box, above: string, place: string): Promise<MemorySeen> {
  const folder = `${above}/${place}`;
  const controller = above.slice(above.lastIndexOf('/') + 1);
  const label = (await textOrNull(box, `${folder}/dimm_label`)) ?? '';
  const mebibytes = await numberOrNull(box, `${folder}/size`);
  return {
    ...blank,
    id: `memory-${controller}-${place}`,
    identityKey: `memory:${controller}/${place}`,
    label: `Memory module, ${label === '' ? `place ${controller} ${place}` : label}`,
    folder,
    slot: label === '' ? null : label,
    sizeBytes: mebibytes === null ? null : mebibytes * 1024 * 1024,
  };
}

function withModule(place: MemorySeen, modules: readonly FirmwareModule[]): MemorySeen {
  const module = modules.find(({ slot }) => slot === place.slot);
  if (module === undefined) return place;
  const { serial, sizeBytes } = module;
  return { ...place, label: labelOf(module), serial, sizeBytes };
}

function moduleAlone(module: FirmwareModule): MemorySeen {
  const { slot, serial, sizeBytes } = module;
  const name = serial ?? slot;
  return {
    kind: 'memory',
    id: `memory-${name.toLowerCase().replaceAll(/[^a-z0-9]+/g, '-')}`,
    identityKey: serial === null ? `memory:slot:${slot}` : `memory:serial:${serial}`,
    label: labelOf(module),
    folder: null,
    slot,
    serial,
    sizeBytes,
  };
}

function labelOf({ slot, maker, model, type }: FirmwareModule): string {
  const words = [maker, model, type].filter((word) => word !== null);
  return `Memory module${words.length === 0 ? '' : ` ${words.join(' ')}`}, ${slot}`;
}
