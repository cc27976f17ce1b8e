import type { Clock } from '../../src/agent/clock.js';

export type SimKind = 'sata-disk' | 'sata-ssd' | 'nvme' | 'sas-disk';

export interface SimDriveOptions {
  readonly kind: SimKind;
  readonly model: string;
  readonly serial: string;
  readonly firmware?: string;
  /** 16 hexadecimal digits. */
  readonly worldWideName?: string;
  readonly capacityBytes: number;
  readonly logicalBlockBytes?: number;
  readonly physicalBlockBytes?: number;
  readonly rotationRpm?: number;
  readonly seed?: number;
  readonly clock: Clock;
  readonly speed?: SimSpeed;
  readonly deviceNumber?: string;
  readonly diskSequence?: string;
}

/** Sustained rate at the first and at the last byte; equal for a drive without a spindle. */
export interface SimSpeed {
  readonly firstBytesPerSecond: number;
  readonly lastBytesPerSecond: number;
}

export interface SelfTestEntry {
  /** The number that started it: 1 short, 2 extended. */
  readonly number: number;
  /** 0 passed, 1 aborted, 2 interrupted by reset, 7 failed reading. */
  readonly result: number;
  readonly hours: number;
  readonly failingLba: number | null;
}

export interface RunningSelfTest {
  readonly number: number;
  readonly startedPoweredMs: number;
  readonly durationMs: number;
}

/** Why a sector cannot be read: by medium, broken transfer, or failed protection. */
export type BadSectorKind = 'unreadable' | 'aborted' | 'damaged';

export interface SlowPlace {
  readonly fromByte: number;
  readonly toByte: number;
  readonly extraMs: number;
}

/** Faults of the medium and of the way to it; each is explained at the top of sim-drive. */
export interface SimFaults {
  readonly badSectors: Map<number, BadSectorKind>;
  /** Sectors that can never be written again. */
  readonly deadSectors: Set<number>;
  /** Sector to the byte in it and the bits that read turned over. */
  readonly flips: Map<number, { readonly byte: number; readonly bits: number }>;
  readonly droppedWrites: Set<number>;
  /** Sector that is written to, and the sector where the data lands instead. */
  readonly misplacedWrites: Map<number, number>;
  wrapBytes: number | null;
  readonly slowPlaces: SlowPlace[];
  /** Divides the rate everywhere: 2 is half speed. */
  slowedBy: number;
  hang: boolean;
  vanished: boolean;
  losesRegisters: boolean;
}

/** Everything about a simulated drive that a test may look at or change while it runs. */
export interface SimDriveState {
  model: string;
  serial: string;
  firmware: string;
  worldWideName: string;
  deviceNumber: string;
  diskSequence: string;
  /** Set when something else has it open for itself, mounted or in an array. */
  held: boolean;

  temperatureCelsius: number;
  temperatureHighestCelsius: number;
  temperatureLowestCelsius: number;
  temperatureLimitCelsius: number;
  powerOnHours: number;
  /** Seconds that make one count of its attribute 9: 60 where it counts minutes. */
  hourCounterSeconds: number;
  powerCycles: number;
  startStops: number;
  headLoads: number;
  emergencyHeadParks: number;
  unsafeShutdowns: number;
  reallocatedSectors: number;
  /** Sectors that a read has found bad and that wait for a rewrite. */
  readonly pendingSectors: Set<number>;
  /** Pending sectors beyond those that a read of ours found. */
  pendingSectorsMore: number;
  uncorrectableSectors: number;
  uncorrectableErrorsReported: number;
  interfaceCrcErrors: number;
  commandsOverdue: number;
  seekErrors: number;
  grownDefects: number;
  bytesWritten: number;
  bytesRead: number;
  enduranceUsedPercent: number;
  spareLeftPercent: number;
  spareLimitPercent: number;
  criticalWarning: number;
  mediaErrors: number;
  /** The drive's own verdict: its status says that a threshold is exceeded. */
  failing: boolean;
  /** 1, 2 or 3 for 1.5, 3 or 6 gigabits a second. */
  linkSpeedCode: number;

  /** A setting that the drive keeps when the power goes. */
  writeCacheOn: boolean;

  standby: boolean;
  /** Goes to standby by itself after this long without work that needs the medium. */
  standbyAfterMs: number | null;
  /** How often anything made it spin up: the proof that nothing woke it. */
  spinUps: number;
  /** What woke it last, by the name of the command. */
  wokenBy: string[];
  /** Commands that were sent to it and got no answer in time, by name. */
  readonly unanswered: string[];

  selfTestRunning: RunningSelfTest | null;
  /** Oldest first. */
  readonly selfTests: SelfTestEntry[];
  selfTestShortMinutes: number;
  selfTestExtendedMinutes: number;

  /** What the drive keeps; switch off to make one that has less. */
  readonly keeps: {
    smart: boolean;
    generalLogs: boolean;
    statistics: boolean;
    sct: boolean;
    selfTests: boolean;
  };
  readonly faults: SimFaults;
}

/** Fixed nature of one drive, worked out from its options. */
export interface SimNature {
  readonly kind: SimKind;
  readonly capacityBytes: number;
  readonly logicalBlockBytes: number;
  readonly physicalBlockBytes: number;
  readonly rotationRpm: number;
  readonly spins: boolean;
  readonly seed: number;
  readonly clock: Clock;
  readonly speed: SimSpeed;
}

const usualSpeed: Readonly<Record<SimKind, SimSpeed>> = {
  'sata-disk': { firstBytesPerSecond: 200e6, lastBytesPerSecond: 95e6 },
  'sas-disk': { firstBytesPerSecond: 250e6, lastBytesPerSecond: 120e6 },
  'sata-ssd': { firstBytesPerSecond: 520e6, lastBytesPerSecond: 520e6 },
  nvme: { firstBytesPerSecond: 3e9, lastBytesPerSecond: 3e9 },
};

export function simNature(options: SimDriveOptions): SimNature {
  const spins = options.kind === 'sata-disk' || options.kind === 'sas-disk';
  const logicalBlockBytes = options.logicalBlockBytes ?? 512;
  if (options.capacityBytes % logicalBlockBytes !== 0) {
    throw new Error(`Capacity ${options.capacityBytes} is no multiple of ${logicalBlockBytes}`);
  }
  return {
    kind: options.kind,
    capacityBytes: options.capacityBytes,
    logicalBlockBytes,
    physicalBlockBytes: Math.max(options.physicalBlockBytes ?? 4096, logicalBlockBytes),
    rotationRpm: spins ? (options.rotationRpm ?? 7200) : 1,
    spins,
    seed: options.seed ?? 1,
    clock: options.clock,
    speed: options.speed ?? usualSpeed[options.kind],
  };
}

export function freshState(options: SimDriveOptions): SimDriveState {
  return {
    model: options.model,
    serial: options.serial,
    firmware: options.firmware ?? 'LV01',
    worldWideName: options.worldWideName ?? '5000000000000001',
    deviceNumber: options.deviceNumber ?? '8:0',
    diskSequence: options.diskSequence ?? '1',
    held: false,
    temperatureCelsius: 34,
    temperatureHighestCelsius: 44,
    temperatureLowestCelsius: 18,
    temperatureLimitCelsius: 60,
    powerOnHours: 12_000,
    hourCounterSeconds: 3600,
    powerCycles: 310,
    startStops: 420,
    headLoads: 5_100,
    emergencyHeadParks: 12,
    unsafeShutdowns: 9,
    reallocatedSectors: 0,
    pendingSectors: new Set(),
    pendingSectorsMore: 0,
    uncorrectableSectors: 0,
    uncorrectableErrorsReported: 0,
    interfaceCrcErrors: 0,
    commandsOverdue: 0,
    seekErrors: 0,
    grownDefects: 0,
    bytesWritten: 42e12,
    bytesRead: 130e12,
    enduranceUsedPercent: 6,
    spareLeftPercent: 100,
    spareLimitPercent: 10,
    criticalWarning: 0,
    mediaErrors: 0,
    failing: false,
    linkSpeedCode: 3,
    writeCacheOn: true,
    standby: false,
    standbyAfterMs: null,
    spinUps: 0,
    wokenBy: [],
    unanswered: [],
    selfTestRunning: null,
    selfTests: [],
    selfTestShortMinutes: 2,
    selfTestExtendedMinutes: 420,
    keeps: { smart: true, generalLogs: true, statistics: true, sct: true, selfTests: true },
    faults: {
      badSectors: new Map(),
      deadSectors: new Set(),
      flips: new Map(),
      droppedWrites: new Set(),
      misplacedWrites: new Map(),
      wrapBytes: null,
      slowPlaces: [],
      slowedBy: 1,
      hang: false,
      vanished: false,
      losesRegisters: false,
    },
  };
}

/** All sectors that wait for a rewrite. */
export function pendingCount(state: SimDriveState): number {
  return state.pendingSectors.size + state.pendingSectorsMore;
}
