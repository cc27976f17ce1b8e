import type { ControllerSeen, DriveSeen } from '../../checks/part.js';
import {
  identityKeyOf,
  isPlaceholderSerial,
  type NamesOfDrive,
  sharedIdentities,
} from './identity-rules.js';
import { shortPciAddress } from './parse-device-path.js';
import type { DriveDraft } from './see-drive.js';

/**
 * Gives each drive its lasting identity and its name. A name that two drives share cannot tell
 * them apart: both are marked, and both carry the place where they hang in their identity.
 */
export function settleIdentities(
  drafts: readonly DriveDraft[],
  controllers: readonly ControllerSeen[],
): readonly DriveSeen[] {
  const names = drafts.map(namesOf);
  const shared = sharedIdentities(names);
  return drafts.map((draft, index) => {
    const own = names[index] ?? namesOf(draft);
    const isShared = shared.has(index);
    const key = identityKeyOf(own);
    const hasPlace = key.startsWith('virtual:') || key.startsWith('place:');
    return {
      ...draft.seen,
      id: idOf(own, isShared),
      identityKey: isShared && !hasPlace ? `${key}@${draft.place}` : key,
      duplicateIdentity: isShared,
      controller:
        controllers.find(({ pciAddress }) => pciAddress === draft.controllerAddress)?.id ?? null,
    };
  });
}

function namesOf({ seen, place }: DriveDraft): NamesOfDrive {
  const { model, serial, worldWideName } = seen;
  return { model, serial, worldWideName, place, virtual: seen.reachedBy === 'virtual' };
}

function idOf(names: NamesOfDrive, isShared: boolean): string {
  if (names.serial !== '' && !isPlaceholderSerial(names.serial)) {
    return isShared ? `${names.serial}-at-${placeWords(names.place)}` : names.serial;
  }
  return `${names.virtual ? 'virtual-disk' : 'unnamed-drive'}-${placeWords(names.place)}`;
}

/** "0000:00:17.0/port-3" becomes "00-17-0-port-3"; a file's path its letters and digits. */
function placeWords(place: string): string {
  return shortPciAddress(place.replace('/dev/', ''))
    .replaceAll(/[^A-Za-z0-9]+/g, '-')
    .replaceAll(/^-|-$/g, '');
}
