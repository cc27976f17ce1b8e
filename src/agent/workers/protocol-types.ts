import type { PlaceError } from '../../checks/burn-in-result.js';
import type { Capture } from '../../checks/capture.js';
import type { SpeedResult } from '../../checks/speed-result.js';
import type { PlaceTime } from '../../checks/surface-times.js';
import type { DriveAddress } from '../box/box.js';

/** What a child must find again, through its own descriptor, before it does anything. */
export interface ExpectedDrive {
  readonly address: DriveAddress;
  readonly serial: string;
  readonly model: string;
  readonly sizeBytes: number;
  readonly diskSequence: string | null;
}

/** Reading, writing or verifying one range of a drive; bytes count from its start. */
export interface BlockTask {
  readonly do: 'read' | 'write' | 'verify';
  readonly drive: ExpectedDrive;
  readonly fromByte: number;
  readonly toByte: number;
  readonly run: number;
  /** Seed of the pattern, 32 hexadecimal digits. */
  readonly seed: string;
  readonly pass: number;
  /** Most bytes between two asks or reports; 1 GiB when absent. */
  readonly stretchBytes?: number;
  /** Bytes of one request; 4 MiB when absent. */
  readonly blockBytes?: number;
  /** Names of what a person agreed to lose, in the order of the look at the drive. */
  readonly consented?: readonly string[];
}

export interface SpeedTask {
  readonly do: 'speed';
  readonly drive: ExpectedDrive;
  readonly places: readonly number[];
  readonly bytesPerPlace: number;
}

/** Reading on and on between two places until it is stopped or the time is over. */
export interface StreamTask {
  readonly do: 'stream';
  readonly drive: ExpectedDrive;
  readonly fromByte: number;
  readonly toByte: number;
  readonly seconds: number;
}

export interface CaptureTask {
  readonly do: 'capture';
  readonly drive: ExpectedDrive;
}

export type WorkerTask = BlockTask | SpeedTask | StreamTask | CaptureTask;

/** Parent to child. Sent as one JSON text each, decoded as foreign input on both sides. */
export type ToWorker =
  | WorkerTask
  | { readonly go: true }
  | { readonly pause: boolean }
  | { readonly stop: true };

export interface StretchProgress {
  readonly fromByte: number;
  readonly toByte: number;
  readonly seconds: number;
  readonly errors: readonly PlaceError[];
  /** Errors beyond the listed ones, by kind. */
  readonly unlisted?: Readonly<Record<string, number>>;
  /** Bytes in failed requests whose bad places were not looked for any further. */
  readonly unlocatedBytes?: number;
  /** First byte of a block that is neither blank nor stamped by us. */
  readonly unknownAt?: number;
  readonly places?: readonly PlaceTime[];
}

/** Child to parent. `ask` comes before each written stretch; only `go` lets it write. */
export type FromWorker =
  | { readonly ready: true; readonly version: 1 }
  | { readonly alive: true; readonly atByte: number }
  | { readonly ask: 'write'; readonly fromByte: number; readonly toByte: number }
  | { readonly progress: StretchProgress }
  | { readonly speed: Omit<SpeedResult, 'run' | 'path' | 'verdict' | 'limit'> }
  | { readonly captured: Capture }
  | { readonly refused: { readonly code: string; readonly text: string } }
  | { readonly done: true };
