import { type ChildProcess, fork } from 'node:child_process';
import { type Clock, fineMs } from '../clock.js';
import { decodeFromWorker, encodeToWorker } from './protocol.js';
import type { FromWorker, ToWorker, WorkerTask } from './protocol-types.js';
import {
  EndReason,
  noteOwnState,
  type StartWorker,
  type Worker,
  type WorkerHooks,
  type WorkerResult,
} from './worker.js';

/** Time limits of a worker's life. */
export interface WorkerLimits {
  /** From the start to the first word. */
  readonly startMs: number;
  /** Longest silence: signs of life come every two seconds. */
  readonly silenceMs: number;
  /** Longest time without a step along the drive, while it is not paused. */
  readonly progressMs: number;
  /** After being asked to stop, before SIGTERM; then before SIGKILL; then before "stuck". */
  readonly askMs: number;
  readonly terminateMs: number;
  readonly killMs: number;
  /** Most messages in ten seconds; more is babble. */
  readonly messagesMax: number;
}

/** One request may take 200 s on a drive that retries; progress allows for two of them. */
export const defaultLimits: WorkerLimits = {
  startMs: 20_000,
  silenceMs: 60_000,
  progressMs: 450_000,
  askMs: 15_000,
  terminateMs: 5_000,
  killMs: 10_000,
  messagesMax: 5_000,
};

export interface ForkOptions {
  /** Path of the compiled `drive-worker.js`. */
  readonly workerEntry: string;
  readonly clock: Clock;
  readonly limits?: Partial<WorkerLimits>;
}

const tickMs = 100;
const messageWindowMs = 10_000;

/** Workers in processes of their own: emptied environment, no descriptor but the channel. */
export function forkedWorkers(options: ForkOptions): StartWorker {
  const limits = { ...defaultLimits, ...options.limits };
  return (task, hooks) => new ForkedWorker(task, hooks, { ...options, limits });
}

interface Exit {
  readonly code: number | null;
  readonly signal: string | null;
}

class ForkedWorker implements Worker {
  readonly ended: Promise<WorkerResult>;
  private readonly child: ChildProcess;
  private readonly end = new EndReason();
  private readonly clock: Clock;
  private readonly limits: WorkerLimits;
  private readonly startedMs: number;
  private ready = false;
  private paused = false;
  private exit: Exit | null = null;
  private exited: Exit | null = null;
  private lastWordMs: number;
  private lastStepMs: number;
  private lastByte = -1;
  private window = { sinceMs: 0, messages: 0 };

  constructor(
    private readonly task: WorkerTask,
    private readonly hooks: WorkerHooks,
    options: ForkOptions & { readonly limits: WorkerLimits },
  ) {
    this.clock = options.clock;
    this.limits = options.limits;
    this.startedMs = fineMs(this.clock);
    this.lastWordMs = this.startedMs;
    this.lastStepMs = this.startedMs;
    this.child = fork(options.workerEntry, [], {
      env: { UV_THREADPOOL_SIZE: '8' },
      execArgv: [],
      stdio: ['ignore', 'ignore', 'ignore', 'ipc'],
      serialization: 'json',
    });
    this.child.on('message', (text) => this.hear(text));
    this.child.on('exit', (code, signal) => {
      this.exit = { code, signal };
      this.settle();
    });
    // The last messages may still be on their way when the process is gone already.
    this.child.on('disconnect', () => this.settle());
    this.child.on('error', (error) => {
      this.end.set('child-died', `The worker could not be started: ${error.message}`);
      if (this.child.pid === undefined) this.exited = { code: null, signal: null };
    });
    this.ended = this.watch();
  }

  send(message: ToWorker): void {
    if ('pause' in message) {
      this.paused = message.pause;
      this.lastStepMs = fineMs(this.clock);
    }
    if (this.child.connected) this.child.send(encodeToWorker(message), () => undefined);
  }

  cancel(): void {
    this.end.set('cancelled', 'The work was stopped by request');
  }

  private settle(): void {
    if (this.exit !== null && !this.child.connected) this.exited = this.exit;
  }

  private hear(text: unknown): void {
    if (this.isFlooding()) {
      this.end.set('child-died', 'The worker sent more messages than it may and was ended');
      return;
    }
    const decoded = decodeFromWorker(text);
    if (!decoded.ok) {
      this.end.set('child-died', `The worker sent what is not a message. ${decoded.why}`);
      return;
    }
    this.lastWordMs = fineMs(this.clock);
    const { message } = decoded;
    this.noteStep(message);
    if ('ready' in message && !this.ready) {
      this.ready = true;
      this.send(this.task);
    }
    const isOwn = noteOwnState(message, this.end);
    if (!isOwn && !this.end.isSet) this.hooks.onMessage(message);
  }

  private isFlooding(): boolean {
    const now = fineMs(this.clock);
    if (now - this.window.sinceMs > messageWindowMs) this.window = { sinceMs: now, messages: 0 };
    this.window.messages += 1;
    return this.window.messages > this.limits.messagesMax;
  }

  /** A worker that only says that it lives, at the same byte, makes no step. */
  private noteStep(message: FromWorker): void {
    const byte = 'alive' in message ? message.atByte : null;
    if (byte === this.lastByte) return;
    if (byte !== null) this.lastByte = byte;
    this.lastStepMs = fineMs(this.clock);
  }

  private async watch(): Promise<WorkerResult> {
    while (this.exited === null && !this.end.isSet) {
      await this.clock.sleep(tickMs);
      this.judgeSilence();
    }
    const isStuck = !(await this.bringToAnEnd());
    return this.end.result({
      exitCode: this.exited?.code ?? null,
      signal: this.exited?.signal ?? null,
      seconds: (fineMs(this.clock) - this.startedMs) / 1000,
      isStuck,
    });
  }

  private judgeSilence(): void {
    const now = fineMs(this.clock);
    if (!this.ready && now - this.startedMs > this.limits.startMs) {
      this.end.set('timed-out', 'The worker did not start in time');
    } else if (this.ready && now - this.lastWordMs > this.limits.silenceMs) {
      this.end.set('timed-out', 'The worker gave no sign of life in time');
    } else if (this.ready && !this.paused && now - this.lastStepMs > this.limits.progressMs) {
      this.end.set('timed-out', 'The worker made no progress in time');
    }
  }

  /** Ask, wait, end, wait, kill, wait. True when the process is gone. */
  private async bringToAnEnd(): Promise<boolean> {
    this.send({ stop: true });
    if (await this.isGoneWithin(this.limits.askMs)) return true;
    this.child.kill('SIGTERM');
    if (await this.isGoneWithin(this.limits.terminateMs)) return true;
    this.child.kill('SIGKILL');
    if (await this.isGoneWithin(this.limits.killMs)) return true;
    // Nothing here may keep the agent from ending later: the process hangs in the kernel.
    if (this.child.connected) this.child.disconnect();
    this.child.unref();
    return false;
  }

  private async isGoneWithin(ms: number): Promise<boolean> {
    const until = fineMs(this.clock) + ms;
    while (this.exited === null && fineMs(this.clock) < until) await this.clock.sleep(tickMs / 4);
    return this.exited !== null;
  }
}
