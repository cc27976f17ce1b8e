import type { KernelTree } from './kernel-tree.js';
import { putText } from './sim-bytes.js';
import { identifyDevicePage } from './sim-drive-ata.js';
import { simNature } from './sim-drive-state.js';
import { type KernelView, pciPath } from './sim-kernel-view.js';
import type { SimHost, SimNames, SimSeat } from './sim-plan.js';

export interface SeatedDisk {
  readonly seat: SimSeat;
  readonly names: SimNames;
  /** Number for its hwmon node. */
  readonly hwmon: number;
}

/** Ports and links of an AHCI controller, with or without a drive. */
export function addAhciPorts(tree: KernelTree, view: KernelView, host: SimHost): void {
  if (host.kind !== 'ahci') return;
  const controller = pciPath(view, host.pci);
  for (let port = 1; port <= host.ports; port += 1) {
    const number = (view.firstPort.get(host.pci) ?? 1) + port - 1;
    tree.file(`${controller}/ata${number}/ata_port/ata${number}/port_no`, String(port));
    tree.link(
      `/sys/class/ata_port/ata${number}`,
      `${controller}/ata${number}/ata_port/ata${number}`,
    );
    const link = `${controller}/ata${number}/link${number}/ata_link/link${number}`;
    const seat = [...view.seats.keys()].find(
      ({ place }) => place?.pci === host.pci && place.port === port,
    );
    tree.link(`/sys/class/ata_link/link${number}`, link);
    tree.files(link, {
      sata_spd: () => rateText(seat?.linkBitsPerSecond ?? null),
      hw_sata_spd_limit: rateText(host.portBitsPerSecond),
      sata_spd_limit: () => rateText(seat?.allowedBitsPerSecond ?? host.portBitsPerSecond),
    });
  }
}

export function addDisk(tree: KernelTree, view: KernelView, disk: SeatedDisk): void {
  const place = disk.seat.place;
  if (place === null) return;
  if (disk.seat.drive.options.kind === 'nvme') addNvme(tree, view, disk);
  else addScsi(tree, view, disk);
}

function addNvme(tree: KernelTree, view: KernelView, { seat, names, hwmon }: SeatedDisk): void {
  const { drive, place } = seat;
  if (place === null) return;
  const controller = names.kernelName.replace(/n\d+$/, '');
  const device = `${pciPath(view, place.pci)}/nvme/${controller}`;
  tree.files(device, {
    model: drive.state.model.padEnd(40),
    serial: drive.state.serial.padEnd(20),
    firmware_rev: drive.state.firmware.padEnd(8),
    state: 'live',
    transport: 'pcie',
  });
  const block = `${device}/${names.kernelName}`;
  addBlock(tree, view, { disk: { seat, names, hwmon }, block, device });
  tree.file(`${block}/wwid`, `eui.${drive.state.worldWideName}`);
  const node = `${device}/hwmon${hwmon}`;
  tree.link(`/sys/class/hwmon/hwmon${hwmon}`, node);
  tree.files(node, {
    name: 'nvme',
    temp1_label: 'Composite',
    temp1_input: () => {
      view.settle();
      return String((drive.state.temperatureCelsius + 273) * 1000 - 273_150);
    },
    temp1_max: String((drive.state.temperatureLimitCelsius + 273) * 1000 - 273_150),
    temp1_crit: String((drive.state.temperatureLimitCelsius + 283) * 1000 - 273_150),
  });
}

function addScsi(tree: KernelTree, view: KernelView, disk: SeatedDisk): void {
  const { seat, names } = disk;
  const device = scsiFolder(tree, view, disk);
  const { state, options } = seat.drive;
  const isSas = options.kind === 'sas-disk';
  tree.files(device, {
    vendor: (isSas ? 'INVENTED' : 'ATA').padEnd(8),
    model: state.model.slice(0, 16).padEnd(16),
    rev: state.firmware.slice(-4),
    type: '0',
    wwid: `naa.${state.worldWideName}`,
    vpd_pg80: vital(0x80, Buffer.from(state.serial.padEnd(20), 'latin1')),
    vpd_pg83: vital(0x83, naaDesignator(state.worldWideName)),
    vpd_pgb1: vital(0xb1, rotation(simNature(options).rotationRpm)),
  });
  tree.file(`${device}/state`, () => (seat.givenUp ? 'offline' : 'running'));
  tree.file(`${device}/iotmo_cnt`, () =>
    seat.kernelTimeouts === null ? { fails: 'not-there' } : `0x${seat.kernelTimeouts.toString(16)}`,
  );
  tree.file(`${device}/timeout`, () => String(seat.kernelWaitsSeconds));
  if (!isSas) tree.file(`${device}/vpd_pg89`, ataInformation(seat));
  addBlock(tree, view, { disk, block: `${device}/block/${names.kernelName}`, device });
  if (!isSas) addDriveSensor(tree, view, { disk, device });
}

function scsiFolder(tree: KernelTree, view: KernelView, { seat, names }: SeatedDisk): string {
  const place = seat.place;
  const controller = pciPath(view, place?.pci ?? '');
  const host = names.hostNumber;
  if (seat.drive.options.kind !== 'sas-disk' && isAhci(view, seat)) {
    return `${controller}/ata${host}/host${host}/target${host}:0:0/${host}:0:0:0`;
  }
  const port = place?.port ?? 0;
  const hostFolder = `${controller}/host${host}`;
  const portFolder = `${hostFolder}/port-${host}:${port}`;
  tree.folder(`${hostFolder}/phy-${host}:${port}`);
  tree.link(`${portFolder}/phy-${host}:${port}`, `${hostFolder}/phy-${host}:${port}`);
  return `${portFolder}/end_device-${host}:${port}/target${host}:0:${port}/${host}:0:${port}:0`;
}

function isAhci(view: KernelView, { place }: SimSeat): boolean {
  return view.hosts.some(({ pci, kind }) => pci === place?.pci && kind === 'ahci');
}

/** The kernel's temperature node of a disk: reading it asks the drive. */
function addDriveSensor(
  tree: KernelTree,
  view: KernelView,
  { disk, device }: { disk: SeatedDisk; device: string },
): void {
  const { drive } = disk.seat;
  const node = `${device}/hwmon/hwmon${disk.hwmon}`;
  tree.link(`/sys/class/hwmon/hwmon${disk.hwmon}`, node);
  tree.files(node, {
    name: 'drivetemp',
    temp1_input: () => {
      view.settle();
      drive.settle();
      if (drive.state.standby) {
        drive.state.standby = false;
        drive.state.spinUps += 1;
        drive.state.wokenBy.push('kernel temperature file');
      }
      return String(drive.state.temperatureCelsius * 1000);
    },
    temp1_max: String(drive.state.temperatureLimitCelsius * 1000),
  });
}

interface BlockFolder {
  readonly disk: SeatedDisk;
  readonly block: string;
  readonly device: string;
}

function addBlock(tree: KernelTree, view: KernelView, { disk, block, device }: BlockFolder): void {
  const { seat, names } = disk;
  const nature = simNature(seat.drive.options);
  for (const above of ['/sys/block', '/sys/class/block']) {
    tree.link(`${above}/${names.kernelName}`, block);
  }
  tree.link(`/sys/dev/block/${names.deviceNumber}`, block);
  tree.link(`${block}/device`, device);
  tree.folder(`${block}/slaves`);
  tree.folder(`${block}/holders`);
  if (seat.use.array !== null) {
    tree.link(`${block}/holders/${seat.use.array}`, `/sys/devices/virtual/block/${seat.use.array}`);
  }
  tree.files(block, {
    dev: names.deviceNumber,
    diskseq: names.diskSequence,
    size: String(nature.capacityBytes / 512),
    ro: '0',
    removable: '0',
    hidden: '0',
    'queue/rotational': nature.spins ? '1' : '0',
    'queue/logical_block_size': String(nature.logicalBlockBytes),
    'queue/physical_block_size': String(nature.physicalBlockBytes),
    stat: () => {
      view.settle();
      return statLine(names);
    },
  });
}

function statLine({ counters }: SimNames): string {
  const { reads, sectorsRead, writes, sectorsWritten, busyMs } = counters;
  const wrapped = Math.floor(busyMs) % 2 ** 32;
  const fields = [
    reads,
    0,
    sectorsRead,
    wrapped,
    writes,
    0,
    sectorsWritten,
    wrapped,
    0,
    wrapped,
    wrapped,
  ];
  return [...fields, 0, 0, 0, 0, 0, 0]
    .map((field) => String(Math.floor(field)).padStart(8))
    .join(' ');
}

function rateText(bitsPerSecond: number | null): string {
  return bitsPerSecond === null ? '<unknown>' : `${(bitsPerSecond / 1e9).toFixed(1)} Gbps`;
}

function vital(number: number, body: Buffer): Buffer {
  const head = Buffer.from([0, number, body.length >> 8, body.length & 0xff]);
  return Buffer.concat([head, body]);
}

function naaDesignator(name: string): Buffer {
  return Buffer.concat([Buffer.from([0x01, 0x03, 0x00, 0x08]), Buffer.from(name, 'hex')]);
}

function rotation(rpm: number): Buffer {
  const body = Buffer.alloc(60);
  body.writeUInt16BE(rpm, 0);
  return body;
}

/** The kernel's copy is from the moment when it found the drive, so it is made once per boot. */
function ataInformation({ drive }: SimSeat): Buffer {
  const body = Buffer.alloc(568);
  putText(body, { at: 4, length: 8 }, 'libata');
  body[32] = 0x34;
  body[52] = 0xec;
  const nature = simNature(drive.options);
  identifyDevicePage({ nature, state: drive.state }).copy(body, 56);
  return vital(0x89, body);
}
