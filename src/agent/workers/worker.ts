import type { FromWorker, ToWorker, WorkerTask } from './protocol-types.js';

/** How a worker's life ended. Exactly one reason; the first one wins. */
export type WorkerEnd =
  | 'done'
  | 'refused'
  | 'timed-out'
  | 'cancelled'
  /** It could not be ended, not even by force: its drive must be left alone. */
  | 'stuck'
  | 'child-died';

/** The same fields whatever happened. */
export interface WorkerResult {
  readonly reason: WorkerEnd;
  /** Code of a refusal, such as `in-use` or `not-same-drive`; null for the other reasons. */
  readonly code: string | null;
  /** One sentence for a person. */
  readonly text: string;
  readonly exitCode: number | null;
  readonly signal: string | null;
  readonly seconds: number;
  /** Where the worker last said that it was. */
  readonly atByte: number | null;
}

export interface WorkerHooks {
  /** Each decoded message but `ready`, `alive`, `refused` and `done`. */
  readonly onMessage: (message: FromWorker) => void;
}

/** A running worker, in a process of its own or inside this one. */
export interface Worker {
  send(message: ToWorker): void;
  /** Asks it to stop after the block in hand, then uses force. */
  cancel(): void;
  readonly ended: Promise<WorkerResult>;
}

/** Starts one worker for one task. */
export type StartWorker = (task: WorkerTask, hooks: WorkerHooks) => Worker;

/** Keeps the first reason, and what the worker last said about itself. */
export class EndReason {
  private kept: { reason: WorkerEnd; code: string | null; text: string } | null = null;
  atByte: number | null = null;

  set(reason: WorkerEnd, text: string, code: string | null = null): void {
    this.kept ??= { reason, text, code };
  }

  get isSet(): boolean {
    return this.kept !== null;
  }

  result(end: {
    readonly exitCode: number | null;
    readonly signal: string | null;
    readonly seconds: number;
    readonly isStuck: boolean;
  }): WorkerResult {
    const kept = this.kept ?? {
      reason: 'child-died' as const,
      text: `The worker ended without a word (exit code ${end.exitCode ?? 'none'}, signal ${end.signal ?? 'none'})`,
      code: null,
    };
    const { exitCode, signal, seconds } = end;
    const base = { ...kept, exitCode, signal, seconds, atByte: this.atByte };
    if (!end.isStuck) return base;
    return { ...base, reason: 'stuck', text: `${kept.text}; then it could not be ended by force` };
  }
}

/** Takes a message that tells about the worker itself; false when it is about the work. */
export function noteOwnState(message: FromWorker, end: EndReason): boolean {
  if ('alive' in message) end.atByte = message.atByte;
  else if ('refused' in message) end.set('refused', message.refused.text, message.refused.code);
  else if ('done' in message) end.set('done', 'The work is done');
  else return 'ready' in message;
  return true;
}
