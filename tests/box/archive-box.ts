import { makeSimBox, type SimBox, type SimSeatOptions } from './sim-box.js';
import type { SimClock } from './sim-clock.js';
import type { SimChip, SimHost, SimMachine, SimNetwork, SimPci } from './sim-plan.js';

/**
 * The storage box of an oral-history archive's reading room. Archive, makers and models are all
 * invented: a used small server, four disks from two makers, a second-hand card with one lane for
 * two of them, a used 10 Gb/s network card, an NVMe drive for the system and a drive on trial.
 */

const boardSata = '0000:00:17.0';
const diskCard = '0000:05:00.0';
const systemSlot = '0000:01:00.0';
const networkCard = '0000:03:00.0';

/** Serials of its drives by what they are for. */
export const archiveSerials = {
  system: 'QK5N00417',
  trial: 'QP2S88120',
  disks: ['LM8K0A1207', 'LM8K0A1391', 'TS80052HV4', 'TS80052J07'],
} as const;

export const archiveParts = { boardSata, diskCard, systemSlot, networkCard } as const;

const machine: SimMachine = {
  hostName: 'reading-room',
  board: 'Harrowgate WS-2 (invented)',
  processor: 'Harrowgate four-core (invented)',
  memoryBytes: 16 * 2 ** 30,
  kernel: '6.1.0-invented',
};

function bridge(address: string, speedMax: number, lanesMax: number): SimPci {
  return {
    address,
    above: null,
    pciClass: '060400',
    vendor: 'f0a1',
    device: '0100',
    driver: 'pcieport',
    speed: speedMax,
    lanes: lanesMax,
    speedMax,
    lanesMax,
  };
}

type PciShape = Pick<SimPci, 'address' | 'above' | 'pciClass' | 'device' | 'driver'> & {
  readonly link: {
    readonly speed: number;
    readonly lanes: number;
    readonly lanesMax: number;
  } | null;
};

function pciFunction({ link, ...shape }: PciShape): SimPci {
  return {
    ...shape,
    vendor: 'f0a1',
    speed: link?.speed ?? null,
    lanes: link?.lanes ?? null,
    speedMax: link?.speed ?? null,
    lanesMax: link?.lanesMax ?? null,
  };
}

function pciOfArchive(): readonly SimPci[] {
  return [
    bridge('0000:00:1b.0', 8, 4),
    bridge('0000:00:1c.0', 8, 4),
    bridge('0000:00:1d.0', 5, 1),
    pciFunction({
      address: boardSata,
      above: null,
      pciClass: '010601',
      device: '0610',
      driver: 'ahci',
      link: null,
    }),
    pciFunction({
      address: systemSlot,
      above: '0000:00:1b.0',
      pciClass: '010802',
      device: '0801',
      driver: 'nvme',
      link: { speed: 8, lanes: 4, lanesMax: 4 },
    }),
    pciFunction({
      address: networkCard,
      above: '0000:00:1c.0',
      pciClass: '020000',
      device: '1010',
      driver: 'tengig',
      link: { speed: 8, lanes: 4, lanesMax: 8 },
    }),
    pciFunction({
      address: diskCard,
      above: '0000:00:1d.0',
      pciClass: '010601',
      device: '0612',
      driver: 'ahci',
      link: { speed: 5, lanes: 1, lanesMax: 1 },
    }),
  ];
}

const hosts: readonly SimHost[] = [
  { pci: boardSata, kind: 'ahci', ports: 6, portBitsPerSecond: 6e9 },
  { pci: diskCard, kind: 'ahci', ports: 2, portBitsPerSecond: 6e9 },
];

function networksOfArchive(): readonly SimNetwork[] {
  return [
    {
      pci: networkCard,
      hardwareAddress: '02:5a:10:9e:41:07',
      carrier: true,
      switchedOn: true,
      megabitsPerSecond: 10_000,
      duplex: 'full',
      receiveErrors: 0,
      checksumErrors: 0,
      carrierChanges: 2,
    },
  ];
}

function chipsOfArchive(): readonly SimChip[] {
  const sensor = (label: string, aboveRoomCelsius: number, highCelsius: number | null) => ({
    label,
    celsius: 21 + aboveRoomCelsius,
    highCelsius,
    criticalCelsius: null,
    fault: false,
    aboveRoomCelsius,
  });
  return [
    {
      chipName: 'boardsense',
      device: 'platform/boardsense.656',
      temperatures: [sensor('Board', 9, 70), sensor('Disk cage', 7, 50)],
      fans: [
        { label: 'Cage fan', rpm: 860, fault: false },
        { label: 'Rear fan', rpm: 1040, fault: false },
      ],
    },
    {
      chipName: 'coresense',
      device: 'platform/coresense.0',
      temperatures: [sensor('Processor', 22, 95)],
      fans: [],
    },
  ];
}

interface DiskShape {
  readonly model: string;
  readonly serial: string;
  readonly worldWideName: string;
  readonly place: SimSeatOptions['place'];
  readonly fastest: number;
  readonly slowest: number;
}

function disk(
  { model, serial, worldWideName, place, fastest, slowest }: DiskShape,
  seed: number,
): SimSeatOptions {
  return {
    drive: {
      kind: 'sata-disk',
      model,
      serial,
      worldWideName,
      firmware: 'AB12',
      capacityBytes: 8_001_563_222_016,
      rotationRpm: 7200,
      seed,
      speed: { firstBytesPerSecond: fastest, lastBytesPerSecond: slowest },
    },
    place,
    use: { array: 'md0' },
  };
}

function drivesOfArchive(seed: number): readonly SimSeatOptions[] {
  const larkspur = { model: 'Larkspur Meridian LM8000', fastest: 212e6, slowest: 101e6 };
  const tolvane = { model: 'Tolvane Stillwater 8T', fastest: 198e6, slowest: 94e6 };
  const [first, second, third, fourth] = archiveSerials.disks;
  return [
    disk(
      {
        ...larkspur,
        serial: first,
        worldWideName: '5f0a1b0000a12071',
        place: { pci: boardSata, port: 1 },
      },
      seed + 1,
    ),
    disk(
      {
        ...larkspur,
        serial: second,
        worldWideName: '5f0a1b0000a13915',
        place: { pci: boardSata, port: 2 },
      },
      seed + 2,
    ),
    disk(
      {
        ...tolvane,
        serial: third,
        worldWideName: '5f0c2d000052ef48',
        place: { pci: diskCard, port: 1 },
      },
      seed + 3,
    ),
    disk(
      {
        ...tolvane,
        serial: fourth,
        worldWideName: '5f0c2d000052f076',
        place: { pci: diskCard, port: 2 },
      },
      seed + 4,
    ),
    {
      drive: {
        kind: 'nvme',
        model: 'Quillon Kite 512',
        serial: archiveSerials.system,
        worldWideName: '6f0e3f0000417a02',
        firmware: 'K1.07',
        capacityBytes: 512_110_190_592,
        seed: seed + 5,
      },
      place: { pci: systemSlot, port: 0 },
      use: { systemDrive: true },
    },
    {
      drive: {
        kind: 'sata-ssd',
        model: 'Quillon Perch 240',
        serial: archiveSerials.trial,
        worldWideName: '5f0e3f0000881203',
        firmware: 'P2.3',
        capacityBytes: 240_057_409_536,
        seed: seed + 6,
      },
      place: { pci: boardSata, port: 4 },
    },
  ];
}

/** The box of the demo and of long simulations. The same seed gives the same box and history. */
export function archiveReadingRoomBox(
  seed: number,
  options: {
    readonly clock: SimClock;
    readonly keepTruth?: boolean;
    /** Drives beside its own, such as one that is on trial. */
    readonly more?: readonly SimSeatOptions[];
  },
): SimBox {
  const box = makeSimBox({
    clock: options.clock,
    seed,
    machine,
    pci: pciOfArchive(),
    hosts,
    networks: networksOfArchive(),
    chips: chipsOfArchive(),
    drives: [...drivesOfArchive(seed), ...(options.more ?? [])],
    room: { celsius: 21, swingCelsius: 2 },
    ...(options.keepTruth === undefined ? {} : { keepTruth: options.keepTruth }),
  });
  giveHistories(box);
  box.settle();
  return box;
}

/** Four used disks with different pasts, as bought. */
function giveHistories(box: SimBox): void {
  const pasts = [
    { powerOnHours: 31_840, powerCycles: 212, headLoads: 9_420, reallocatedSectors: 0 },
    { powerOnHours: 31_612, powerCycles: 209, headLoads: 9_377, reallocatedSectors: 8 },
    { powerOnHours: 18_205, powerCycles: 1_140, headLoads: 22_030, reallocatedSectors: 0 },
    { powerOnHours: 18_377, powerCycles: 1_151, headLoads: 22_418, reallocatedSectors: 0 },
  ];
  archiveSerials.disks.forEach((serial, index) => {
    const { state } = box.seat(serial).drive;
    Object.assign(state, pasts[index]);
    state.standbyAfterMs = 20 * 60_000;
    const hours = Math.floor(state.powerOnHours) - 40;
    state.selfTests.push({ number: 2, result: 0, hours, failingLba: null });
  });
  Object.assign(box.seat(archiveSerials.system).drive.state, {
    powerOnHours: 9_120,
    powerCycles: 640,
    unsafeShutdowns: 14,
    temperatureLimitCelsius: 75,
  });
  Object.assign(box.seat(archiveSerials.trial).drive.state, {
    powerOnHours: 4_011,
    powerCycles: 388,
    temperatureLimitCelsius: 70,
  });
}
