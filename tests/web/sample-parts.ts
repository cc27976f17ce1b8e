// Invented parts of the storage box of an oral-history archive's reading room. No such maker,
// model or serial exists.
import type { PartToKeep } from '../../src/agent/store/rows.js';

interface SampleDrive {
  readonly serial: string;
  readonly model: string;
  readonly capacityBytes: number;
  readonly rotating: boolean | null;
  readonly controller?: string;
  readonly port?: string;
  readonly notVisibleWhy?: string;
}

const controller = 'disk-controller-00-17-0';

const drives: readonly SampleDrive[] = [
  {
    serial: 'LK7-3310A',
    model: 'Larkspur LK-40',
    capacityBytes: 4_000_787_030_016,
    rotating: true,
    controller,
    port: 'ata1',
  },
  {
    serial: 'LK7-3311C',
    model: 'Larkspur LK-40',
    capacityBytes: 4_000_787_030_016,
    rotating: true,
    controller,
    port: 'ata2',
  },
  {
    serial: 'LK7-4402F',
    model: 'Larkspur LK-40',
    capacityBytes: 4_000_787_030_016,
    rotating: true,
    controller,
    port: 'ata3',
  },
  {
    serial: 'TV-88-0093',
    model: 'Tolvane Vault 8',
    capacityBytes: 8_001_563_222_016,
    rotating: true,
    controller,
    port: 'ata4',
  },
  { serial: 'QN250-77120', model: 'Quillon Q250', capacityBytes: 250_059_350_016, rotating: false },
  {
    serial: 'TVP-2-5561',
    model: 'Tolvane Pocket 2',
    capacityBytes: 2_000_398_934_016,
    rotating: null,
    notVisibleWhy: 'The USB bridge passes no health records on',
  },
];

export function drivePart(drive: SampleDrive): PartToKeep {
  return {
    kind: 'drive',
    identityKey: `serial:${drive.model}/${drive.serial}`,
    name: drive.serial,
    label: drive.model,
    details: {
      kind: 'drive',
      id: drive.serial,
      serial: drive.serial,
      model: drive.model,
      firmware: 'A2.07',
      worldWideName: null,
      capacityBytes: drive.capacityBytes,
      logicalBlockBytes: 512,
      physicalBlockBytes: 4096,
      rotating: drive.rotating,
      controller: drive.controller ?? null,
      port: drive.port ?? null,
      notVisibleWhy: drive.notVisibleWhy ?? null,
    },
  };
}

export const sampleParts: readonly PartToKeep[] = [
  ...drives.map(drivePart),
  {
    kind: 'disk-controller',
    identityKey: 'pci:0x1d0f:0x2200:0000:00:17.0',
    name: controller,
    label: 'Meridon SATA controller',
    details: { driver: 'ahci' },
  },
  {
    kind: 'network-card',
    identityKey: 'pci:0x1d0f:0x9100:0000:03:00.0',
    name: 'network-card-03-00-0',
    label: 'Arvest 10-gigabit card',
    details: { driver: 'arvest', hardwareAddress: '02:00:5e:10:00:07' },
  },
  {
    kind: 'sensor-chip',
    identityKey: 'sensor:board',
    name: 'sensors-board',
    label: 'Board sensors',
    details: {},
  },
];
