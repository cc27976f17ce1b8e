import { makeSimBox, type SimBox, type SimSeatOptions } from '../box/sim-box.js';
import type { SimClock } from '../box/sim-clock.js';
import type { SimPci, SimPlace } from '../box/sim-plan.js';

/**
 * A box as full as this product is meant for: 24 drives, invented like their makers. Eight disks in
 * an array and at work, four that sleep beside them, four solid-state drives, six SAS disks, two
 * NVMe drives.
 */

const ahci = ['0000:00:17.0', '0000:00:18.0'] as const;
const sas = '0000:02:00.0';
const nvme = ['0000:03:00.0', '0000:04:00.0'] as const;
const small = 4e12;

function pci(address: string, shape: { pciClass: string; driver: string; link: boolean }): SimPci {
  const [speed, lanes] = shape.link ? [8, 4] : [null, null];
  const { pciClass, driver } = shape;
  const ids = { vendor: 'f0a1', device: '0610', above: null };
  return { ...ids, address, pciClass, driver, speed, lanes, speedMax: speed, lanesMax: lanes };
}

interface SeatShape {
  readonly kind: SimSeatOptions['drive']['kind'];
  readonly place: SimPlace;
  readonly array?: string;
}

function seat({ kind, place, array }: SeatShape, number: number): SimSeatOptions {
  const serial = `LK${String(number).padStart(2, '0')}7300${String(number * 37).padStart(4, '0')}`;
  const worldWideName = `5f0a1b00${serial.slice(2)}`.padEnd(16, '0').slice(0, 16);
  return {
    drive: {
      kind,
      model: `Larkspur ${kind} 4000`,
      serial,
      worldWideName,
      capacityBytes: small,
      seed: number,
    },
    place,
    ...(array === undefined ? {} : { use: { array } }),
    load: {
      readBytesPerSecond: array === undefined ? 0 : 9e6,
      writeBytesPerSecond: array === undefined ? 0 : 3e6,
    },
  };
}

function seats(): readonly SimSeatOptions[] {
  const shapes: SeatShape[] = [];
  for (const controller of ahci) {
    for (let port = 1; port <= 8; port += 1) {
      const place = { pci: controller, port };
      const kind = port <= 6 ? 'sata-disk' : 'sata-ssd';
      shapes.push({ kind, place, ...(port <= 4 ? { array: 'md0' } : {}) });
    }
  }
  for (let port = 0; port < 6; port += 1) {
    shapes.push({ kind: 'sas-disk', place: { pci: sas, port } });
  }
  for (const address of nvme) shapes.push({ kind: 'nvme', place: { pci: address, port: 0 } });
  return shapes.map((shape, index) => seat(shape, index + 1));
}

export function fullBox(clock: SimClock): SimBox {
  const box = makeSimBox({
    clock,
    seed: 24,
    machine: {
      hostName: 'reading-room-store',
      board: 'Harrowgate WS-24 (invented)',
      processor: 'Harrowgate eight-core (invented)',
      memoryBytes: 64 * 2 ** 30,
      kernel: '6.1.0-invented',
    },
    pci: [
      ...ahci.map((one) => pci(one, { pciClass: '010601', driver: 'ahci', link: false })),
      pci(sas, { pciClass: '010700', driver: 'sascard', link: true }),
      ...nvme.map((one) => pci(one, { pciClass: '010802', driver: 'nvme', link: true })),
    ],
    hosts: [
      ...ahci.map((one) => ({ pci: one, kind: 'ahci', ports: 8, portBitsPerSecond: 6e9 }) as const),
      { pci: sas, kind: 'sas', ports: 8, portBitsPerSecond: 12e9 },
    ],
    networks: [],
    chips: [],
    drives: seats(),
  });
  for (const serial of sleepers(box)) box.seat(serial).drive.state.standby = true;
  box.settle();
  return box;
}

/** The disks that nobody uses. */
export function sleepers(box: SimBox): readonly string[] {
  return box.parts.seats
    .filter(({ drive, use }) => drive.options.kind === 'sata-disk' && use.array === null)
    .map(({ drive }) => drive.state.serial);
}
