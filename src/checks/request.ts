import type { BurnInState } from './burn-in-result.js';
import type { MachineSeen } from './part.js';
import type { ExitCode } from './user-error.js';

/** The closed list of requests that the agent takes over its local socket. */
export const requestNames = [
  'status',
  'speed-start',
  'burn-in-plan',
  'burn-in-start',
  'pause',
  'resume',
  'stop',
  'acknowledge',
  'account-for',
  'model-edit',
  'blink',
  'self-test',
] as const;

export type RequestName = (typeof requestNames)[number];

/** A request as one JSON line. Which fields a request needs is decided by the agent's decoder. */
export interface AgentRequest {
  readonly request: RequestName;
  readonly drive?: string;
  readonly run?: number;
  readonly finding?: number;
  readonly options?: Readonly<Record<string, string | number | boolean>>;
}

export interface RequestError {
  readonly code: string;
  readonly text: string;
  readonly hint?: string;
  /** What a command that made the request should exit with. */
  readonly exitCode?: ExitCode;
}

/** The answer as one JSON line. */
export type AgentReply =
  | { readonly ok: true; readonly result?: unknown }
  | { readonly error: RequestError };

/** Long work that the agent has under way. */
export interface RunningWork {
  readonly kind: 'burn-in' | 'speed';
  readonly run: number;
  readonly drive: string;
  readonly stage: string;
  readonly state: BurnInState;
  readonly erases: boolean;
  readonly doneBytes: number;
  readonly totalBytes: number;
  readonly bytesPerSecond: number | null;
  readonly secondsLeft: number | null;
  readonly errors: number;
}

/** Result of the `status` request: proof of life, and what is going on now. */
export interface AgentStatus {
  readonly version: string;
  readonly processId: number;
  readonly boot: number;
  readonly bootMs: number;
  readonly wallMs: number;
  readonly running: readonly RunningWork[];
  /** What the agent cannot do, each with how to get it, such as missing privileges. */
  readonly limits: readonly string[];
  /** Differences between the box and its model, in plain words. */
  readonly inventoryRemarks: readonly string[];
  readonly modelFile: string | null;
  /** The machine itself, from the newest look. */
  readonly machine?: MachineSeen;
  /** For each empty group of parts the reason why it is empty. */
  readonly emptyWhy?: Readonly<Record<string, string>>;
}
