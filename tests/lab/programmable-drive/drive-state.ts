import { FaultyMedium } from '../faulty-medium.js';

/** What a made-up SATA drive is and counts. A test changes the fields while the drive answers. */
export interface DriveState {
  readonly model: string;
  readonly serial: string;
  readonly firmware: string;
  readonly worldWideName: bigint;
  readonly rotationRpm: number;
  readonly medium: FaultyMedium;
  readonly selfTest: SelfTestState;
  /**
   * Pass-through registers come back in this form of sense; "none" loses them, as cheap bridges do.
   */
  registersIn: 'descriptor' | 'fixed' | 'none';
  /** "commands" answers nothing but aborts; "everything" not even those. */
  silence: 'none' | 'commands' | 'everything';
  /** What CHECK POWER MODE tells: 255 active, 128 idle, 0 standby. */
  powerMode: number;
  /** Commands that would have spun a real drive up while it was in standby. */
  woken: number;
  /** What SMART RETURN STATUS tells; `failAttribute` sets it together with the attribute. */
  failing: boolean;
  temperatureCelsius: number;
  temperatureHighestCelsius: number;
  temperatureLimitCelsius: number;
  powerOnHours: number;
  startStops: number;
  powerCycles: number;
  headParks: number;
  headLoads: number;
  reallocatedSectors: number;
  uncorrectableErrorsReported: number;
  interfaceCrcErrors: number;
  sectorsWritten: number;
  sectorsRead: number;
  /** Normalised values that differ from 100, by attribute number. */
  readonly normalised: Map<number, number>;
  readonly thresholds: Map<number, number>;
}

export interface SelfTestRecord {
  readonly number: number;
  /** High half of the execution status byte: 0 done, 1 aborted, 7 read failure. */
  readonly code: number;
  readonly hours: number;
  readonly failingSector: number;
}

export interface SelfTestState {
  running: { readonly number: number; readonly startedMs: number } | null;
  /** How long a test takes here, whichever kind it is. */
  lengthMs: number;
  readonly nowMs: () => number;
  /** Oldest first. */
  readonly finished: SelfTestRecord[];
}

export interface DriveOptions {
  readonly serial: string;
  readonly model?: string;
  readonly firmware?: string;
  readonly worldWideName?: bigint;
  readonly mebibytes?: number;
  readonly registersIn?: DriveState['registersIn'];
  readonly nowMs?: () => number;
}

const defaults = {
  model: 'Tolvane Archive 4000',
  firmware: 'TV01',
  worldWideName: 0x5000_0000_0000_0000n,
  mebibytes: 64,
  registersIn: 'fixed' as const,
};

/** A healthy drive with a past: every counter differs, so that a mix-up of two shows. */
export function makeDriveState(given: DriveOptions): DriveState {
  const options = { ...defaults, nowMs: () => performance.now(), ...given };
  return {
    model: options.model,
    serial: options.serial,
    firmware: options.firmware,
    worldWideName: options.worldWideName,
    rotationRpm: 5400,
    medium: new FaultyMedium(options.mebibytes * 2048),
    selfTest: { running: null, lengthMs: 120_000, nowMs: options.nowMs, finished: [] },
    registersIn: options.registersIn,
    silence: 'none',
    powerMode: 0xff,
    woken: 0,
    failing: false,
    temperatureCelsius: 41,
    temperatureHighestCelsius: 53,
    temperatureLimitCelsius: 60,
    powerOnHours: 31_337,
    startStops: 1204,
    powerCycles: 407,
    headParks: 19,
    headLoads: 88_123,
    reallocatedSectors: 24,
    uncorrectableErrorsReported: 2,
    interfaceCrcErrors: 3,
    sectorsWritten: 7_000_000_001,
    sectorsRead: 9_000_000_002,
    normalised: new Map(),
    thresholds: new Map([
      [1, 6],
      [5, 36],
    ]),
  };
}

/** Tenths of the running self-test that remain (at least 1), or null; ends a test that is due. */
export function selfTestTenthsLeft(state: DriveState): number | null {
  const { selfTest } = state;
  if (selfTest.running === null) return null;
  const passed = (selfTest.nowMs() - selfTest.running.startedMs) / selfTest.lengthMs;
  if (passed < 1) return Math.max(1, Math.min(9, Math.ceil((1 - passed) * 10)));
  endSelfTest(state, 0);
  return null;
}

export function startSelfTest(state: DriveState, number: number): void {
  endSelfTest(state, 1);
  state.selfTest.running = { number, startedMs: state.selfTest.nowMs() };
}

/** Ends a running test with a code of the standard: 0 done, 1 aborted by a command. */
export function endSelfTest(state: DriveState, code: number): void {
  const { running, finished } = state.selfTest;
  if (running === null) return;
  state.selfTest.running = null;
  const bad = code === 7;
  finished.push({
    number: running.number,
    code,
    hours: state.powerOnHours % 65_536,
    failingSector: bad ? 3000 : 0xffff_ffff,
  });
}

/** The drive predicts its own failure: one attribute at or below its threshold, and the status. */
export function failAttribute(state: DriveState, attribute: number): void {
  const threshold = state.thresholds.get(attribute) ?? 10;
  state.thresholds.set(attribute, threshold);
  state.normalised.set(attribute, threshold - 1);
  state.failing = true;
}
