import type { SimDrive } from './sim-drive.js';

/** A function on the PCI bus. Changing `speed` or `lanes` trains its link anew. */
export interface SimPci {
  readonly address: string;
  /** Address of the bridge whose port it hangs on; null for what is built into the chipset. */
  readonly above: string | null;
  readonly pciClass: string;
  readonly vendor: string;
  readonly device: string;
  readonly driver: string | null;
  readonly boardLabel?: string;
  /** Gigatransfers per second and lanes; null for a function without a link. */
  speed: number | null;
  lanes: number | null;
  readonly speedMax: number | null;
  readonly lanesMax: number | null;
}

/** A disk controller with ports: SATA ports of AHCI, phys of a SAS card. */
export interface SimHost {
  readonly pci: string;
  readonly kind: 'ahci' | 'sas';
  readonly ports: number;
  /** Highest rate of a port in bits per second. */
  readonly portBitsPerSecond: number;
}

export interface SimNetwork {
  readonly pci: string;
  readonly hardwareAddress: string;
  carrier: boolean;
  switchedOn: boolean;
  megabitsPerSecond: number;
  duplex: 'full' | 'half';
  receiveErrors: number;
  checksumErrors: number;
  carrierChanges: number;
}

export interface SimTemperature {
  readonly label: string | null;
  celsius: number;
  readonly highCelsius: number | null;
  readonly criticalCelsius: number | null;
  fault: boolean;
  /** Follows the room's temperature with this much above it; null for a fixed value. */
  readonly aboveRoomCelsius: number | null;
}

export interface SimFan {
  readonly label: string | null;
  rpm: number;
  fault: boolean;
}

export interface SimChip {
  readonly chipName: string;
  /** Below /sys/devices, such as "platform/nct6775.656". */
  readonly device: string;
  readonly temperatures: SimTemperature[];
  readonly fans: SimFan[];
}

/**
 * Where a drive hangs: port of a host, counted from 1 (AHCI) or 0 (phys of SAS), or its own PCI.
 */
export interface SimPlace {
  readonly pci: string;
  readonly port: number;
}

/** Requests that the household sends to a drive, beside ours. */
export interface SimLoad {
  readBytesPerSecond: number;
  writeBytesPerSecond: number;
}

/** A drive with everything about it that the kernel or the room knows rather than the drive. */
export interface SimSeat {
  readonly drive: SimDrive;
  place: SimPlace | null;
  /** SATA rate in bits per second that the link trained to. */
  linkBitsPerSecond: number;
  /** Lowered by the kernel after errors; null when it was not. */
  allowedBitsPerSecond: number | null;
  readonly load: SimLoad;
  /** How long the kernel waits for a command of it. */
  kernelWaitsSeconds: number;
  /** The kernel sends it nothing any more. */
  givenUp: boolean;
  /** Commands that it gave up waiting for; null where this kernel does not count them. */
  kernelTimeouts: number | null;
  /** Warmer than the others by this much: a blocked hole, a dead fan. */
  extraCelsius: number;
  readonly use: SimUse;
  /** The start at which it does not come up: it is plugged in, and the kernel does not find it. */
  absentAt: SimStart | null;
}

/** How the box started: with the power off before, or without. */
export type SimStart = 'power-on' | 'restart';

/** What stands on a drive. */
export interface SimUse {
  mountedAt: string | null;
  swap: boolean;
  array: string | null;
  /** Read errors that its array put right. */
  arrayErrors: number;
  systemDrive: boolean;
}

/** What the kernel counts about a drive since this boot. */
export interface SimCounters {
  reads: number;
  sectorsRead: number;
  writes: number;
  sectorsWritten: number;
  busyMs: number;
}

/** Names and numbers that the kernel handed out in this boot. */
export interface SimNames {
  readonly kernelName: string;
  readonly deviceNumber: string;
  readonly diskSequence: string;
  readonly counters: SimCounters;
  /** Number of the SATA port or SCSI host in this boot. */
  readonly hostNumber: number;
}

export interface SimMachine {
  readonly hostName: string;
  readonly board: string | null;
  readonly processor: string | null;
  readonly memoryBytes: number;
  readonly kernel: string;
}
