import type { DriveState } from '../programmable-drive/drive-state.js';
import type { DriveTarget } from '../programmable-drive/target.js';
import { channelName } from './guest-messages.js';

/** One drive of the machine. */
export type MachineDrive =
  | {
      readonly kind: 'ahci';
      readonly serial: string;
      readonly model: string;
      readonly firmware: string;
      readonly worldWideName: string;
      readonly rotationRpm: number;
      readonly backend: Backend;
    }
  | {
      readonly kind: 'nvme';
      readonly serial: string;
      readonly criticalWarning: number;
      readonly backend: Backend;
    }
  | {
      /** "usb" puts a real USB mass storage bridge before it, else it is a SCSI unit. */
      readonly kind: 'programmable' | 'usb-programmable';
      readonly drive: DriveState;
      readonly target: DriveTarget;
    }
  | { readonly kind: 'usb-disk'; readonly serial: string; readonly backend: Backend }
  | {
      readonly kind: 'scsi';
      readonly serial: string;
      /** Up to 16 characters, as an INQUIRY carries them. */
      readonly product: string;
      readonly worldWideName: string;
      readonly backend: Backend;
    }
  /** A place without a drive, for one that is plugged in later. */
  | { readonly kind: 'empty'; readonly bus: 'scsi' | 'pci' };

/** Where the bytes of an emulated disk are: a raw file, or our own disk behind a socket. */
export type Backend = { readonly file: string } | { readonly socket: string };

/** Options of qemu for the drives, each on a controller of its own where one could block others. */
export function driveArguments(drives: readonly MachineDrive[]): string[] {
  return drives.flatMap((drive, index) => argumentsOf(drive, { node: `drive${index}`, index }));
}

function argumentsOf(drive: MachineDrive, place: { node: string; index: number }): string[] {
  const { node, index } = place;
  switch (drive.kind) {
    case 'ahci':
      return [...backend(node, drive.backend), '-device', ahciDevice(drive, node, index)];
    case 'nvme':
      return [...backend(node, drive.backend), ...nvmeDevice(drive, place)];
    case 'programmable':
    case 'usb-programmable':
      return programmable(drive, node);
    case 'usb-disk':
      return [...backend(node, drive.backend), ...usbDisk(drive, node)];
    case 'scsi':
      return [
        ...backend(node, drive.backend),
        ...scsiBus(node),
        ...['-device', deviceOption(scsiProperties(drive, { node, at: node }))],
      ];
    case 'empty':
      return drive.bus === 'scsi' ? scsiBus(node) : rootPort(place);
  }
}

function ahciDevice(
  drive: Extract<MachineDrive, { kind: 'ahci' }>,
  node: string,
  port: number,
): string {
  return [
    `ide-hd,id=${node}-device,drive=${node},bus=ide.${port}`,
    `serial=${drive.serial},model=${drive.model},ver=${drive.firmware}`,
    `wwn=0x${drive.worldWideName},rotation_rate=${drive.rotationRpm}`,
    'physical_block_size=4096,rerror=report,werror=report',
  ].join();
}

/** In a slot of its own, so that it has a PCI link with a port above it. */
function nvmeDevice(
  drive: Extract<MachineDrive, { kind: 'nvme' }>,
  place: { node: string; index: number },
): string[] {
  const { node } = place;
  const device = nvmeProperties(drive, { node, at: node });
  return [...rootPort(place), '-device', deviceOption(device)];
}

function rootPort({ node, index }: { node: string; index: number }): string[] {
  return ['-device', `pcie-root-port,id=${node}-slot,chassis=${index},slot=${index}`];
}

function scsiBus(node: string): string[] {
  return ['-device', `virtio-scsi-pci,id=${node}-bus`];
}

/** A device by its properties, with its driver, as an option and as a wish to the monitor. */
export type DeviceProperties = Readonly<Record<string, string>> & { readonly driver: string };

/** `node` holds the bytes of the drive; `at` is the drive or empty place whose bus it hangs on. */
export interface PlugPlace {
  readonly node: string;
  readonly at: string;
}

export function nvmeProperties(
  drive: Extract<MachineDrive, { kind: 'nvme' }>,
  { node, at }: PlugPlace,
): DeviceProperties {
  return {
    driver: 'nvme',
    id: `${node}-device`,
    bus: `${at}-slot`,
    serial: drive.serial,
    drive: node,
    smart_critical_warning: String(drive.criticalWarning),
  };
}

export function scsiProperties(
  drive: Extract<MachineDrive, { kind: 'scsi' }>,
  { node, at }: PlugPlace,
): DeviceProperties {
  return {
    driver: 'scsi-hd',
    id: `${node}-device`,
    bus: `${at}-bus.0`,
    drive: node,
    serial: drive.serial,
    vendor: 'QUILLON',
    product: drive.product,
    wwn: `0x${drive.worldWideName}`,
    rotation_rate: '7200',
    rerror: 'report',
    werror: 'report',
  };
}

function deviceOption({ driver, ...properties }: DeviceProperties): string {
  const words = Object.entries(properties).map(([name, value]) => `${name}=${value}`);
  return [driver, ...words].join();
}

/** The raw layer on top raises the events that the device counts on. */
function backend(node: string, where: Backend): string[] {
  const below =
    'file' in where
      ? `driver=file,node-name=${node}-below,filename=${where.file}`
      : `driver=nbd,node-name=${node}-below,server.type=unix,server.path=${where.socket}`;
  return [
    ...['-blockdev', below],
    ...['-blockdev', `driver=raw,node-name=${node},file=${node}-below`],
  ];
}

/** A controller for each: error handling of a silent drive stops the whole controller. */
function programmable(
  drive: Extract<MachineDrive, { kind: 'programmable' | 'usb-programmable' }>,
  node: string,
): string[] {
  const address = drive.target.addressOf(drive.drive);
  const bridge = [...usbPorts(node), '-device', `usb-bot,id=${node}-bus,bus=${node}-ports.0`];
  return [
    ...(drive.kind === 'programmable' ? scsiBus(node) : bridge),
    ...['-drive', `file=${address},if=none,id=${node},format=raw,cache=none`],
    ...['-device', `scsi-generic,id=${node}-device,drive=${node},bus=${node}-bus.0`],
  ];
}

/** A bridge that qemu makes up: it refuses every command that would pass through. */
function usbDisk(drive: Extract<MachineDrive, { kind: 'usb-disk' }>, node: string): string[] {
  const device = `usb-storage,id=${node}-device,bus=${node}-ports.0,drive=${node}`;
  return [...usbPorts(node), '-device', `${device},serial=${drive.serial}`];
}

function usbPorts(node: string): string[] {
  return ['-device', `qemu-xhci,id=${node}-ports`];
}

export interface MachineFiles {
  readonly image: string;
  readonly archive: string;
  readonly channelSocket: string;
  readonly consoleLog: string;
  readonly monitorSocket: string;
}

/** Options of qemu for the machine itself: no network at all, two processors, emulated. */
export function machineArguments(files: MachineFiles): string[] {
  return [
    ...['-M', 'q35', '-accel', 'tcg', '-smp', '2', '-m', '1536', '-nic', 'none'],
    ...['-display', 'none', '-no-reboot', '-no-user-config', '-nodefaults'],
    ...['-serial', `file:${files.consoleLog}`],
    ...['-qmp', `unix:${files.monitorSocket},server=on,wait=off`],
    ...['-kernel', files.image, '-initrd', files.archive],
    ...['-append', 'console=ttyS0 quiet panic=-1 net.ifnames=0'],
    ...['-device', 'virtio-rng-pci', '-device', 'virtio-serial-pci'],
    ...['-chardev', `socket,id=channel,path=${files.channelSocket}`],
    ...['-device', `virtserialport,chardev=channel,name=${channelName}`],
  ];
}
