import type { ControllerSeen, DriveSeen, Inventory } from '../../../src/checks/part.js';

/** A drive as the kernel would show it; makers and models are invented. */
export function makeDrive(change: Partial<DriveSeen>): DriveSeen {
  const id = change.id ?? 'LK-0001';
  return {
    kind: 'drive',
    id,
    identityKey: `serial:LARKSPUR/${id}`,
    model: 'Larkspur Archive 8000',
    serial: id,
    firmware: '1.0',
    worldWideName: null,
    capacityBytes: 8_001_563_222_016,
    logicalBlockBytes: 512,
    physicalBlockBytes: 4096,
    rotating: true,
    reachedBy: 'ata',
    kernelName: 'sda',
    devicePath: '/dev/sda',
    deviceNumber: '8:0',
    diskSequence: null,
    controller: null,
    port: null,
    notVisibleWhy: null,
    duplicateIdentity: false,
    ...change,
  };
}

export function makeController(change: Partial<ControllerSeen>): ControllerSeen {
  const id = change.id ?? 'disk-controller-00-17-0';
  return {
    kind: 'disk-controller',
    id,
    identityKey: `pci:0001:0002:${id}`,
    label: 'Disk controller',
    pciAddress: null,
    vendorDevice: null,
    driver: null,
    link: null,
    ...change,
  };
}

export function makeInventory(change: Partial<Inventory>): Inventory {
  return {
    drives: [],
    controllers: [],
    sensorChips: [],
    emptyWhy: {},
    machine: {
      hostName: 'reading-room',
      board: null,
      processor: null,
      memoryBytes: 16_000_000_000,
      kernel: '6.1.0',
    },
    ...change,
  };
}
