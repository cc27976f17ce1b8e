import {
  type Answer,
  answered,
  type BlockHandle,
  type Box,
  type DriveAddress,
  type ModuleMemory,
  missing,
  type OpenOptions,
} from '../../src/agent/box/box.js';
import type { LogRecord } from '../../src/agent/box/layouts/kernel-log.js';
import type { FileSource, KernelTree } from './kernel-tree.js';
import type { SimBoxParts } from './sim-box-parts.js';
import type { SimClock } from './sim-clock.js';
import type { SimController } from './sim-controller.js';
import { makeSimDrive, type SimDrive } from './sim-drive.js';
import type { SimDriveOptions } from './sim-drive-state.js';
import { makeKernelFiles } from './sim-kernel-files.js';
import { type BootNames, hostNumberOf, nameForBoot, nextNames } from './sim-names.js';
import { SimPassing } from './sim-passing.js';
import type {
  SimChip,
  SimHost,
  SimLoad,
  SimMachine,
  SimNames,
  SimNetwork,
  SimPci,
  SimPlace,
  SimSeat,
  SimStart,
  SimUse,
} from './sim-plan.js';
import { seededChance } from './sim-speed.js';
import { truthOf } from './sim-truth.js';
import { TruthLog } from './sim-truth-log.js';

export interface SimSeatOptions {
  readonly drive: Omit<SimDriveOptions, 'clock' | 'deviceNumber' | 'diskSequence'>;
  readonly place: SimPlace;
  readonly linkBitsPerSecond?: number;
  readonly load?: SimLoad;
  readonly use?: Partial<SimUse>;
}

export interface SimBoxOptions {
  readonly clock: SimClock;
  readonly seed: number;
  readonly machine: SimMachine;
  readonly pci: readonly SimPci[];
  readonly hosts: readonly SimHost[];
  readonly networks: readonly SimNetwork[];
  readonly chips: readonly SimChip[];
  readonly drives: readonly SimSeatOptions[];
  readonly room?: { readonly celsius: number; readonly swingCelsius: number };
  /** Notes every change of the truth, so that stored readings can be compared with it later. */
  readonly keepTruth?: boolean;
}

export interface TruthQuestion {
  readonly identityKey: string;
  readonly metric: string;
  readonly place?: string;
}

/** What the agent asked of a drive. */
export interface Asked {
  readonly serial: string;
  readonly command: string;
}

/**
 * A whole simulated box behind the seam. Its parts may be changed at any time; kernel files and
 * records show the change at the next reading. Time and chance are injected. Never shipped.
 */
export interface SimBox extends Box {
  readonly clock: SimClock;
  /** The hardware: change it at will. */
  readonly parts: SimBoxParts;
  /** The management controller of its board, from the next boot on; null where it has none. */
  controller: SimController | null;
  /** Memory of the module in its network card's plug, from the next boot on. */
  plugModule: ModuleMemory | null;
  /** Counts boots from 1. */
  bootNumber(): number;
  /** The seam of this boot only: after the next boot it answers "gone", as for a killed process. */
  ofThisBoot(): Box;
  seat(serial: string): SimSeat;
  /** Switches off and on. A power cut leaves its traces in the drives' own counters. */
  reboot(options: { readonly offMs: number; readonly powerCut?: boolean }): void;
  /** Starts the box again with the power on all the time: no drive counts it. */
  restart(): void;
  /** Files that the kernel shows in this boot and later ones, over those that are there. */
  showFiles(files: Readonly<Record<string, FileSource>>): void;
  /** `held`: something still holds its old device, so that its kernel name stays taken. */
  unplug(serial: string, options?: { readonly held?: boolean }): void;
  /** `tells`: it names itself so from now on, as a copied or unprogrammed drive does. */
  plug(serial: string, place: SimPlace, tells?: ToldNames): void;
  /**
   * Brings warmth, counters and drives up to the clock, before a test looks at them and after it
   * changed them.
   */
  settle(): void;
  /** The kernel writes a line into its log. */
  writeLog(text: string): void;
  /** How the kernel names a drive that is plugged, in this boot. */
  namesOf(serial: string): SimNames;
  /** The truth now; null where the simulation holds none. */
  truth(identityKey: string, metric: string, place?: string): number | null;
  /** All values that held in a span of one boot; needs `keepTruth`. */
  truthsBetween(
    question: TruthQuestion,
    span: { readonly boot: number; readonly fromMonoMs: number; readonly toMonoMs: number },
  ): readonly number[];
  /** The newest commands that drives were asked, oldest first. */
  readonly asked: readonly Asked[];
}

interface ToldNames {
  readonly serial?: string;
  readonly worldWideName?: string;
}

const askedMax = 20_000;
/** What the firmware takes to start the box again. */
const restartMs = 40_000;

export function makeSimBox(options: SimBoxOptions): SimBox {
  return new SimulatedBox(options);
}

class SimulatedBox implements SimBox {
  readonly clock: SimClock;
  readonly parts: SimBoxParts;
  readonly asked: Asked[] = [];
  readonly #passing: SimPassing;
  readonly #chance: () => number;
  readonly #truthLog: TruthLog | null;
  #names: BootNames;
  #tree: KernelTree;
  #bootId: string;
  #boot = 0;
  #start: SimStart = 'power-on';
  #log: LogRecord[] = [];
  controller: SimController | null = null;
  plugModule: ModuleMemory | null = null;
  readonly #shown = new Map<string, FileSource>();
  #lastMs = 0;
  #lastWallMs: number;

  constructor(options: SimBoxOptions) {
    this.clock = options.clock;
    this.parts = {
      machine: options.machine,
      pci: options.pci,
      hosts: options.hosts,
      networks: options.networks,
      chips: options.chips,
      seats: options.drives.map((one) => seatFrom(one, options.clock)),
      room: { celsius: 21, swingCelsius: 2, ...options.room },
    };
    this.#chance = seededChance(options.seed);
    this.#passing = new SimPassing(this.parts, options.seed);
    this.#truthLog = options.keepTruth === true ? new TruthLog(this.parts) : null;
    this.#bootId = this.clock.bootId;
    this.#lastWallMs = this.clock.wallMs();
    this.#names = this.#startBoot();
    this.#tree = this.#makeTree();
    this.#passing.passOn(4 * 3_600_000, this.#names.seats);
    this.#lastMs = this.clock.bootMs();
    this.#noteTruth();
  }

  bootNumber(): number {
    this.#advance();
    return this.#boot;
  }

  settle(): void {
    this.#advance();
    this.#noteTruth();
  }

  /** What every reading begins with. Without time passed there is nothing new to note. */
  #advance(): void {
    if (this.clock.bootId !== this.#bootId) this.#comeUp();
    const now = this.clock.bootMs();
    const passed = now - this.#lastMs;
    this.#lastWallMs = this.clock.wallMs();
    if (passed <= 0) return;
    this.#lastMs = now;
    this.#passing.passOn(passed, this.#names.seats);
    this.#noteTruth();
  }

  reboot({ offMs, powerCut }: { offMs: number; powerCut?: boolean }): void {
    this.settle();
    if (powerCut === true) for (const seat of this.#names.seats.keys()) losePower(seat);
    this.clock.boot(`boot-${this.#boot + 1}`, offMs);
    this.settle();
  }

  restart(): void {
    this.settle();
    this.#start = 'restart';
    this.clock.boot(`boot-${this.#boot + 1}`, restartMs);
    this.settle();
    this.#start = 'power-on';
  }

  writeLog(text: string): void {
    this.#advance();
    const sequence = this.#log.length;
    this.#log.push({ sequence, monoMs: this.clock.bootMs(), level: 6, text });
  }

  namesOf(serial: string): SimNames {
    const names = this.#names.seats.get(this.seat(serial));
    if (names === undefined) throw new Error(`Drive ${serial} is not plugged`);
    return names;
  }

  async kernelLog(afterSequence: number): Promise<Answer<readonly LogRecord[]>> {
    this.#advance();
    return answered(this.#log.filter(({ sequence }) => sequence > afterSequence));
  }

  showFiles(files: Readonly<Record<string, FileSource>>): void {
    for (const [path, source] of Object.entries(files)) this.#shown.set(path, source);
    this.#tree = this.#makeTree();
  }

  unplug(serial: string, { held = false }: { readonly held?: boolean } = {}): void {
    this.settle();
    const seat = this.seat(serial);
    const names = this.#names.seats.get(seat);
    if (names !== undefined && !held) this.#names.tally.taken.delete(names.kernelName);
    seat.place = null;
    seat.drive.state.faults.vanished = true;
    this.#names.seats.delete(seat);
    this.#tree = this.#makeTree();
  }

  plug(serial: string, place: SimPlace, tells: ToldNames = {}): void {
    this.settle();
    const seat = this.seat(serial);
    Object.assign(seat.drive.state, tells);
    const taken = this.parts.seats.some(
      (one) => one.place?.pci === place.pci && one.place.port === place.port,
    );
    if (taken) throw new Error(`Port ${place.port} of ${place.pci} holds a drive already`);
    seat.place = place;
    seat.drive.state.faults.vanished = false;
    const host = hostNumberOf(seat, {
      ...this.#names,
      hostNumbers: new Map(),
      hosts: this.parts.hosts,
    });
    this.#names.seats.set(seat, this.#toldTo(seat, nextNames(seat, this.#names.tally, host)));
    this.#tree = this.#makeTree();
  }

  seat(serial: string): SimSeat {
    const found = this.parts.seats.find(({ drive }) => drive.state.serial === serial);
    if (found === undefined) throw new Error(`The simulated box has no drive ${serial}`);
    return found;
  }

  truth(identityKey: string, metric: string, place?: string): number | null {
    this.settle();
    return truthOf(this.parts, { identityKey, metric, ...(place === undefined ? {} : { place }) });
  }

  truthsBetween(
    question: TruthQuestion,
    span: { boot: number; fromMonoMs: number; toMonoMs: number },
  ): readonly number[] {
    if (this.#truthLog === null) throw new Error('This box was made without keepTruth');
    return this.#truthLog.between(question, span);
  }

  ofThisBoot(): Box {
    const boot = this.bootNumber();
    const guarded = async <T>(act: () => Promise<Answer<T>>): Promise<Answer<T>> => {
      const gone = () => missing<T>('gone', 'The box was switched off meanwhile');
      if (this.bootNumber() !== boot) return gone();
      const answer = await act();
      return this.bootNumber() === boot ? answer : gone();
    };
    return {
      kernelText: (path) => guarded(() => this.kernelText(path)),
      kernelBytes: (path) => guarded(() => this.kernelBytes(path)),
      kernelFolder: (path) => guarded(() => this.kernelFolder(path)),
      kernelRealPath: (path) => guarded(() => this.kernelRealPath(path)),
      ata: (drive, command) => guarded(() => this.ata(drive, command)),
      scsi: (drive, command) => guarded(() => this.scsi(drive, command)),
      nvme: (drive, command) => guarded(() => this.nvme(drive, command)),
      openBlocks: (drive, open) => guarded(() => this.openBlocks(drive, open)),
      kernelLog: (after) => guarded(() => this.kernelLog(after)),
      machine: () => this.machine(),
      ...this.#managementOf(guarded),
      ...(this.plugModule === null
        ? {}
        : { networkModule: () => guarded(async () => this.#moduleNow()) }),
    };
  }

  #moduleNow(): Answer<ModuleMemory> {
    return this.plugModule === null
      ? missing('not-there', 'No module is plugged')
      : answered(this.plugModule);
  }

  #managementOf(guarded: <T>(act: () => Promise<Answer<T>>) => Promise<Answer<T>>): Partial<Box> {
    const { controller } = this;
    if (controller === null) return {};
    return { management: (command) => guarded(() => controller.management(command)) };
  }

  async kernelText(path: string): Promise<Answer<string>> {
    this.#advance();
    return this.#tree.text(path);
  }

  async kernelBytes(path: string): Promise<Answer<Uint8Array>> {
    this.#advance();
    return this.#tree.bytes(path);
  }

  async kernelFolder(path: string): Promise<Answer<readonly string[]>> {
    this.#advance();
    return this.#tree.names(path);
  }

  async kernelRealPath(path: string): Promise<Answer<string>> {
    this.#advance();
    return this.#tree.realPath(path);
  }

  ata: Box['ata'] = (address, command) =>
    this.#ask(address, command.name, (drive) => drive.ata(command));
  scsi: Box['scsi'] = (address, command) =>
    this.#ask(address, command.name, (drive) => drive.scsi(command));
  nvme: Box['nvme'] = (address, command) =>
    this.#ask(address, command.name, (drive) => drive.nvme(command));

  async openBlocks(address: DriveAddress, options: OpenOptions): Promise<Answer<BlockHandle>> {
    const found = this.#find(address);
    if (found === null) return missing('gone', `No device ${address.deviceNumber} is there now`);
    const opened = await found.seat.drive.openBlocks(options);
    return opened.ok ? answered(this.#counted(opened.value, found.names)) : opened;
  }

  async machine() {
    const { board, processor } = this.parts.machine;
    return { board, processor };
  }

  async #ask<T>(
    address: DriveAddress,
    command: string,
    act: (drive: SimDrive) => Promise<Answer<T>>,
  ): Promise<Answer<T>> {
    const found = this.#find(address);
    if (found === null) return missing('gone', `No device ${address.deviceNumber} is there now`);
    this.asked.push({ serial: found.seat.drive.state.serial, command });
    if (this.asked.length > askedMax) this.asked.splice(0, askedMax / 2);
    const answer = await act(found.seat.drive);
    this.#advance();
    return answer;
  }

  #find({ deviceNumber, devicePath }: DriveAddress): { seat: SimSeat; names: SimNames } | null {
    this.#advance();
    for (const [seat, names] of this.#names.seats) {
      const isMeant = names.deviceNumber === deviceNumber;
      if (isMeant && devicePath === `/dev/${names.kernelName}`) return { seat, names };
    }
    return null;
  }

  /** The kernel counts what goes through a block device; commands past it are not counted. */
  #counted(handle: BlockHandle, { counters }: SimNames): BlockHandle {
    const boot = this.#boot;
    const timed = async (what: 'read' | 'write', offset: number, buffer: Uint8Array) => {
      if (this.bootNumber() !== boot) return missing<number>('gone', 'The box was switched off');
      const from = this.clock.fineMs();
      const answer = await handle[what](offset, buffer);
      counters.busyMs += this.clock.fineMs() - from;
      counters[what === 'read' ? 'reads' : 'writes'] += 1;
      counters[what === 'read' ? 'sectorsRead' : 'sectorsWritten'] += buffer.length / 512;
      return answer;
    };
    return {
      ...handle,
      read: (offset, buffer) => timed('read', offset, buffer),
      write: (offset, buffer) => timed('write', offset, buffer),
    };
  }

  #comeUp(): void {
    this.#passing.passOff(
      Math.max(0, this.clock.wallMs() - this.clock.bootMs() - this.#lastWallMs),
    );
    this.#bootId = this.clock.bootId;
    this.#lastMs = 0;
    this.#names = this.#startBoot();
    for (const seat of this.#names.seats.keys()) {
      const { powerCycles, startStops } = seat.drive.state;
      seat.drive.settle();
      if (this.#start === 'restart') Object.assign(seat.drive.state, { powerCycles, startStops });
      seat.drive.state.held = isHeld(seat.use);
    }
    this.#tree = this.#makeTree();
    this.#noteTruth();
  }

  #startBoot(): BootNames {
    this.#boot += 1;
    this.#log = [];
    const found = this.parts.seats.filter(({ absentAt }) => absentAt !== this.#start);
    const names = nameForBoot(found, this.parts.hosts, this.#chance);
    for (const [seat, own] of names.seats) this.#toldTo(seat, own);
    for (const network of this.parts.networks) {
      network.receiveErrors = 0;
      network.checksumErrors = 0;
      network.carrierChanges = 2;
    }
    return names;
  }

  #toldTo({ drive }: SimSeat, names: SimNames): SimNames {
    drive.state.deviceNumber = names.deviceNumber;
    drive.state.diskSequence = names.diskSequence;
    return names;
  }

  #makeTree(): KernelTree {
    const tree = makeKernelFiles({
      ...this.parts,
      clock: this.clock,
      planned: this.parts.seats,
      seats: this.#names.seats,
      firstPort: this.#names.firstPort,
      firstHwmon: this.#names.firstHwmon,
      settle: () => this.#advance(),
    });
    for (const [path, source] of this.#shown) tree.file(path, source);
    return tree;
  }

  #noteTruth(): void {
    this.#truthLog?.note({ boot: this.#boot, monoMs: this.clock.bootMs() });
  }
}

function seatFrom(options: SimSeatOptions, clock: SimClock): SimSeat {
  const drive = makeSimDrive({ ...options.drive, clock });
  const use = {
    mountedAt: null,
    swap: false,
    array: null,
    arrayErrors: 0,
    systemDrive: false,
    ...options.use,
  };
  const linkBitsPerSecond = options.linkBitsPerSecond ?? 6e9;
  drive.state.held = isHeld(use);
  drive.state.linkSpeedCode = { 1.5e9: 1, 3e9: 2, 6e9: 3 }[linkBitsPerSecond] ?? 3;
  return {
    drive,
    place: options.place,
    linkBitsPerSecond,
    allowedBitsPerSecond: null,
    load: { readBytesPerSecond: 0, writeBytesPerSecond: 0, ...options.load },
    kernelWaitsSeconds: 30,
    givenUp: false,
    kernelTimeouts: null,
    extraCelsius: 0,
    use,
    absentAt: null,
  };
}

function isHeld({ mountedAt, swap, array, systemDrive }: SimUse): boolean {
  return mountedAt !== null || swap || array !== null || systemDrive;
}

/** A disk that turns parks its heads on what turning still gives; the others count it as unsafe. */
function losePower({ drive: { state, options } }: SimSeat): void {
  const spins = options.kind === 'sata-disk' || options.kind === 'sas-disk';
  if (spins && !state.standby) state.emergencyHeadParks += 1;
  state.unsafeShutdowns += 1;
}
