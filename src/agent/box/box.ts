import type { LogRecord } from './layouts/kernel-log.js';

/**
 * The seam between Bayward and the machine it runs on. Nothing above it touches a device, a
 * kernel file or a descriptor. The real one is linux-box; the tests bring a simulated one that
 * answers byte-exact standard records. "Not available" is a typed answer with a reason, never a
 * zero, and no operation here throws for something that a device did.
 */

/** Why an answer is missing, by class. A caller decides by class and shows the text. */
export type AbsenceKind =
  | 'not-there'
  | 'not-permitted'
  | 'not-supported'
  | 'refused'
  | 'unreadable'
  | 'damaged'
  | 'aborted'
  | 'timed-out'
  | 'busy'
  | 'gone';

export interface Absence {
  readonly kind: AbsenceKind;
  /** One sentence for a person: what was asked, what came. */
  readonly text: string;
  /** Sense data that came with a failed SCSI or ATA command. */
  readonly sense?: Uint8Array;
}

export type Answer<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly absence: Absence };

/** How to reach a drive for this boot; made by the inventory probe. */
export interface DriveAddress {
  readonly devicePath: string;
  /** "major:minor", compared before anything is believed. */
  readonly deviceNumber: string;
  readonly reachedBy: 'ata' | 'scsi' | 'nvme' | 'usb' | 'virtual';
}

/**
 * An ATA command by its registers, sent as SAT ATA PASS-THROUGH(16). `count`, `lba` and `feature`
 * are the whole register values; `extend` selects the 48-bit form.
 */
export interface AtaCommand {
  readonly name: string;
  readonly command: number;
  readonly feature: number;
  readonly count: number;
  /** Below 2^48. */
  readonly lba: number;
  readonly device: number;
  readonly extend: boolean;
  readonly transfer: 'none' | 'from-drive' | 'to-drive';
  /** Bytes moved: a multiple of 512, or 0. */
  readonly transferBytes: number;
  readonly dataOut?: Uint8Array;
  /** Ask for the registers after the command; only for commands without data. */
  readonly wantRegisters: boolean;
  readonly deadlineMs: number;
}

/** Registers after an ATA command, when the path gave them back. */
export interface TaskFile {
  readonly error: number;
  readonly status: number;
  readonly device: number;
  readonly count: number;
  readonly lba: number;
}

export interface AtaReply {
  readonly data: Uint8Array;
  /** Null when the path lost the registers: then nothing may be concluded from them. */
  readonly registers: TaskFile | null;
}

export interface ScsiCommand {
  readonly name: string;
  readonly cdb: Uint8Array;
  readonly transfer: 'none' | 'from-drive' | 'to-drive';
  readonly transferBytes: number;
  readonly dataOut?: Uint8Array;
  readonly deadlineMs: number;
}

export interface ScsiReply {
  readonly data: Uint8Array;
  /** Sense bytes that came with a good or recovered status; empty when none came. */
  readonly sense: Uint8Array;
}

export interface NvmeAdminCommand {
  readonly name: string;
  readonly opcode: number;
  readonly nsid: number;
  readonly cdw10: number;
  readonly cdw11: number;
  readonly transferBytes: number;
  readonly deadlineMs: number;
}

export interface NvmeReply {
  readonly data: Uint8Array;
  /** Completion dword 0. */
  readonly result: number;
}

/** One command to the management controller of a server's board, by its numbers in IPMI. */
export interface ManagementCommand {
  readonly name: string;
  readonly netFunction: number;
  readonly command: number;
  readonly data: Uint8Array;
  readonly deadlineMs: number;
}

/** What a network card read out of the module in its plug. */
export interface ModuleMemory {
  /** Number of its layout: 1 and 2 SFP, 3 and 4 QSFP (Linux include/uapi/linux/ethtool.h). */
  readonly layout: number;
  readonly data: Uint8Array;
}

/** Which block device is open, asked through the open descriptor itself. */
export interface OpenIdentity {
  readonly deviceNumber: string;
  readonly diskSequence: string | null;
  readonly sizeBytes: number;
  /** Raw IDENTIFY DEVICE, INQUIRY page 80h or NVMe identify bytes through this descriptor. */
  readonly model: string;
  readonly serial: string;
}

/**
 * An open block device, past the page cache (O_DIRECT). Offsets and lengths are multiples of the
 * logical block size. `buffer` must come from `makeBuffer`, which aligns it for the device.
 */
export interface BlockHandle {
  readonly sizeBytes: number;
  readonly logicalBlockBytes: number;
  makeBuffer(bytes: number): Uint8Array;
  read(offset: number, buffer: Uint8Array): Promise<Answer<number>>;
  write(offset: number, buffer: Uint8Array): Promise<Answer<number>>;
  flush(): Promise<Answer<null>>;
  identity(): Promise<Answer<OpenIdentity>>;
  close(): Promise<void>;
}

export interface OpenOptions {
  readonly write: boolean;
  /** Refuse when anything else holds the device (O_EXCL). */
  readonly exclusive: boolean;
  /** Deadline of each read, write and flush. */
  readonly deadlineMs: number;
}

export interface MachineFacts {
  readonly board: string | null;
  readonly processor: string | null;
  /** Memory as firmware tables list it; null or absent where they cannot be read. */
  readonly memoryModules?: readonly FirmwareModule[] | null;
}

export interface FirmwareModule {
  /** Where it sits, as firmware names the place. */
  readonly slot: string;
  readonly sizeBytes: number;
  readonly type: string | null;
  readonly maker: string | null;
  readonly model: string | null;
  readonly serial: string | null;
}

export interface Box {
  /** A file under /sys, /proc or /dev/disk as text, without its last line feed. */
  kernelText(path: string): Promise<Answer<string>>;
  /** A file under /sys or /proc as bytes. */
  kernelBytes(path: string): Promise<Answer<Uint8Array>>;
  /** Names in a folder under /sys or /proc, sorted. */
  kernelFolder(path: string): Promise<Answer<readonly string[]>>;
  /** Where a link under /sys or /proc ends (the real path of a file or folder). */
  kernelRealPath(path: string): Promise<Answer<string>>;
  /** Never opens for writing, never waits on a sleeping drive to open. */
  ata(drive: DriveAddress, command: AtaCommand): Promise<Answer<AtaReply>>;
  scsi(drive: DriveAddress, command: ScsiCommand): Promise<Answer<ScsiReply>>;
  nvme(drive: DriveAddress, command: NvmeAdminCommand): Promise<Answer<NvmeReply>>;
  openBlocks(drive: DriveAddress, options: OpenOptions): Promise<Answer<BlockHandle>>;
  machine(): Promise<MachineFacts>;
  /**
   * Asks the management controller of the board; gives what follows the completion code. Commands
   * that do more than read are refused here. Absent from boxes without such a way.
   */
  management?(command: ManagementCommand): Promise<Answer<Uint8Array>>;
  /**
   * Memory of the module in the plug of a network card, by its interface. Absent from boxes without
   * such a way.
   */
  networkModule?(interfaceName: string): Promise<Answer<ModuleMemory>>;
  /**
   * Records of the kernel's log with a number above `afterSequence`, as far as the kernel still
   * holds them; -1 asks for all. Absent from boxes without a log.
   */
  kernelLog?(afterSequence: number): Promise<Answer<readonly LogRecord[]>>;
}

export function answered<T>(value: T): Answer<T> {
  return { ok: true, value };
}

export function missing<T>(kind: AbsenceKind, text: string): Answer<T> {
  return { ok: false, absence: { kind, text } };
}
