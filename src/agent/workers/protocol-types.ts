import type { PlaceError } from '../../checks/burn-in-result.js';
import type { Capture } from '../../checks/capture.js';
import type { SpeedResult } from '../../checks/speed-result.js';
import type { DriveAddress } from '../box/box.js';

/** What a child must find again, through its own descriptor, before it does anything. */
export interface ExpectedDrive {
  readonly address: DriveAddress;
  readonly serial: string;
  readonly model: string;
  readonly sizeBytes: number;
  readonly diskSequence: string | null;
}

/** Parent to child. Sent as one JSON message each, decoded as foreign input on both sides. */
export type ToWorker =
  | { readonly do: 'capture'; readonly drive: ExpectedDrive }
  | {
      readonly do: 'speed';
      readonly drive: ExpectedDrive;
      readonly places: readonly number[];
      readonly bytesPerPlace: number;
    }
  | {
      readonly do: 'read' | 'write' | 'verify';
      readonly drive: ExpectedDrive;
      readonly fromByte: number;
      readonly toByte: number;
      readonly run: number;
      readonly seed: string;
      readonly pass: number;
    }
  | { readonly go: true }
  | { readonly pause: boolean }
  | { readonly stop: true };

/** Child to parent. `ask` comes before each written stretch; only `go` lets it write. */
export type FromWorker =
  | { readonly ready: true; readonly version: 1 }
  | { readonly ask: 'write'; readonly fromByte: number; readonly toByte: number }
  | {
      readonly progress: {
        readonly fromByte: number;
        readonly toByte: number;
        readonly seconds: number;
        readonly errors: readonly PlaceError[];
      };
    }
  | { readonly speed: Omit<SpeedResult, 'run' | 'path' | 'verdict' | 'limit'> }
  | { readonly captured: Capture }
  | { readonly refused: { readonly code: string; readonly text: string } }
  | { readonly done: true };
