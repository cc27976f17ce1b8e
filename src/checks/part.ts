import type { Reading } from './reading.js';

/** Kinds of parts that Bayward keeps a history of. */
export type PartKind =
  | 'drive'
  | 'disk-controller'
  | 'network-card'
  | 'slot'
  | 'sensor-chip'
  | 'memory'
  | 'processor'
  | 'array'
  | 'management-controller'
  | 'box';

/** How the kernel reaches a drive; decides which commands it can be asked. */
export type DriveInterface = 'ata' | 'scsi' | 'nvme' | 'usb' | 'virtual';

/**
 * A drive as the kernel shows it now. `serial` is the part's name in models and on pages; it is
 * empty only for a virtual disk, which is known by `identityKey` then. `kernelName` and
 * `devicePath` are valid for this boot only and are never shown as a name.
 */
export interface DriveSeen {
  readonly kind: 'drive';
  readonly id: string;
  readonly identityKey: string;
  readonly model: string;
  readonly serial: string;
  readonly firmware: string;
  readonly worldWideName: string | null;
  readonly capacityBytes: number;
  readonly logicalBlockBytes: number;
  readonly physicalBlockBytes: number;
  readonly rotating: boolean | null;
  readonly reachedBy: DriveInterface;
  readonly kernelName: string;
  readonly devicePath: string;
  readonly deviceNumber: string;
  readonly diskSequence: string | null;
  /** Id of the controller that carries it and the port there, when the kernel tells. */
  readonly controller: string | null;
  readonly port: string | null;
  /** Why health records cannot be read, or null when they can be asked for. */
  readonly notVisibleWhy: string | null;
  /** Another drive present with the same serial or world-wide name. */
  readonly duplicateIdentity: boolean;
  /** Drives that are a PCI function themselves (NVMe, virtual): their place and link on PCI. */
  readonly pciAddress?: string | null;
  readonly pciLink?: PciLinkSeen | null;
  /** PCI address of the port above such a drive: its slot, which lasts over boots. */
  readonly slotAddress?: string;
}

/** A PCI link: what is trained now and what this end and the port above could do. */
export interface PciLinkSeen {
  readonly speedGigatransfers: number | null;
  readonly lanes: number | null;
  readonly ownSpeedMax: number | null;
  readonly ownLanesMax: number | null;
  readonly portSpeedMax: number | null;
  readonly portLanesMax: number | null;
}

/** A card or on-board controller on PCI. */
export interface ControllerSeen {
  readonly kind: 'disk-controller' | 'network-card';
  readonly id: string;
  readonly identityKey: string;
  readonly label: string;
  readonly pciAddress: string | null;
  readonly vendorDevice: string | null;
  readonly driver: string | null;
  /** Firmware of a host adapter, where its driver tells it. */
  readonly firmware?: string;
  readonly link: PciLinkSeen | null;
  /** Disk controllers: the ports that the kernel shows, with or without a drive. */
  readonly ports?: readonly PortSeen[];
  /** Made up by the host of a virtual machine: it has no slot and no plug. */
  readonly virtual?: boolean;
  /** Network cards: the interface's kernel name and hardware address. */
  readonly interfaceName?: string;
  readonly hardwareAddress?: string;
}

/** A port of a disk controller. The rate is its limit by hardware, null where nothing tells. */
export interface PortSeen {
  readonly id: string;
  readonly bitsPerSecondMax: number | null;
}

/** A chip with temperature or fan sensors that belongs to the board, not to a drive. */
export interface SensorChipSeen {
  readonly kind: 'sensor-chip';
  readonly id: string;
  readonly identityKey: string;
  readonly label: string;
  readonly folder: string;
}

/** Drives that the kernel runs as one: an md array, a mounted btrfs file system, a ZFS pool. */
export interface ArraySeen {
  readonly kind: 'array';
  readonly id: string;
  readonly identityKey: string;
  readonly label: string;
  readonly family: 'md' | 'btrfs' | 'zfs';
  /** Level of an md array, such as "raid1"; null where it has none. */
  readonly level: string | null;
  /** Its kernel folder, valid for this boot. */
  readonly folder: string;
  /** Ids of the drives that it lies on, as far as the kernel tells. */
  readonly members: readonly string[];
}

/** A memory module, or a place or controller of memory where the kernel counts errors. */
export interface MemorySeen {
  readonly kind: 'memory';
  readonly id: string;
  readonly identityKey: string;
  readonly label: string;
  /** Kernel folder with its error counters, valid for this boot; null where nothing counts. */
  readonly folder: string | null;
  readonly slot: string | null;
  readonly serial: string | null;
  readonly sizeBytes: number | null;
}

/** The controller on a server's board that watches it and keeps a log, also while it is off. */
export interface ManagementSeen {
  readonly kind: 'management-controller';
  readonly id: 'management-controller';
  readonly identityKey: string;
  readonly label: string;
  readonly firmware: string;
  /** Version of the IPMI specification that it follows. */
  readonly specification: string;
  readonly hasSensorList: boolean;
  readonly hasEventLog: boolean;
}

/** The box itself, with the versions of what runs on it by what they are of. */
export interface BoxSeen {
  readonly kind: 'box';
  readonly id: 'box';
  readonly identityKey: 'box';
  readonly label: string;
  readonly versions: Readonly<Record<string, string>>;
}

export type PartSeen =
  | DriveSeen
  | ControllerSeen
  | SensorChipSeen
  | ArraySeen
  | MemorySeen
  | ManagementSeen
  | BoxSeen;

/** Everything found at one look, and for each empty group the reason why it is empty. */
export interface Inventory {
  readonly drives: readonly DriveSeen[];
  readonly controllers: readonly ControllerSeen[];
  readonly sensorChips: readonly SensorChipSeen[];
  readonly arrays?: readonly ArraySeen[];
  readonly memory?: readonly MemorySeen[];
  readonly management?: ManagementSeen;
  readonly box?: BoxSeen;
  /** Group name to a sentence, for example "fans" to "No chip with a fan input is known …". */
  readonly emptyWhy: Readonly<Record<string, string>>;
  readonly machine: MachineSeen;
}

/** The box itself, from firmware tables and the kernel; null where nothing is told. */
export interface MachineSeen {
  readonly hostName: string;
  readonly board: string | null;
  readonly processor: string | null;
  readonly memoryBytes: number | null;
  readonly kernel: string;
}

/** Readings that belong to one part, found by its lasting identity. */
export interface PartReadings {
  readonly identityKey: string;
  readonly readings: readonly Reading[];
}
