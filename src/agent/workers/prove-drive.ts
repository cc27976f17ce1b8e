import { basename } from 'node:path';
import type { DriveSeen } from '../../checks/part.js';
import type { OpenIdentity } from '../box/box.js';
import type { ExpectedDrive } from './protocol-types.js';

/**
 * Compares what the open descriptor says it is with what the parent means. Null means the same;
 * otherwise a sentence with what was expected and what was found.
 */
export function differenceOf(expected: ExpectedDrive, found: OpenIdentity): string | null {
  const pairs: readonly (readonly [string, string | number | null, string | number | null])[] = [
    ['device number', expected.address.deviceNumber, found.deviceNumber],
    ['disk sequence', expected.diskSequence, found.diskSequence],
    ['size in bytes', expected.sizeBytes, found.sizeBytes],
    ['model', expected.model.trim(), found.model.trim()],
    ['serial', expected.serial.trim(), found.serial.trim()],
  ];
  const different = pairs.find(([, one, other]) => one !== other);
  if (different === undefined) return null;
  const [name, wanted, got] = different;
  return `The opened drive is not the planned one: ${name} expected ${wanted ?? 'none'}, found ${got ?? 'none'}`;
}

/** The drive of a task as the in-use probe wants it; only what locates it matters there. */
export function asDriveSeen(expected: ExpectedDrive): DriveSeen {
  const { address } = expected;
  return {
    kind: 'drive',
    id: expected.serial,
    identityKey: `serial:${expected.model}/${expected.serial}`,
    model: expected.model,
    serial: expected.serial,
    firmware: '',
    worldWideName: null,
    capacityBytes: expected.sizeBytes,
    logicalBlockBytes: 512,
    physicalBlockBytes: 512,
    rotating: null,
    reachedBy: address.reachedBy,
    kernelName: basename(address.devicePath),
    devicePath: address.devicePath,
    deviceNumber: address.deviceNumber,
    diskSequence: expected.diskSequence,
    controller: null,
    port: null,
    notVisibleWhy: null,
    duplicateIdentity: false,
  };
}

/** What a child is told to find again of a drive that the inventory has seen. */
export function expectedOf(drive: DriveSeen): ExpectedDrive {
  return {
    address: {
      devicePath: drive.devicePath,
      deviceNumber: drive.deviceNumber,
      reachedBy: drive.reachedBy,
    },
    serial: drive.serial,
    model: drive.model,
    sizeBytes: drive.capacityBytes,
    diskSequence: drive.diskSequence,
  };
}
