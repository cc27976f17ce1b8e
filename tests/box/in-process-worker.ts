import type { Box } from '../../src/agent/box/box.js';
import { type Clock, fineMs } from '../../src/agent/clock.js';
import {
  decodeFromWorker,
  decodeToWorker,
  encodeFromWorker,
  encodeToWorker,
} from '../../src/agent/workers/protocol.js';
import type { ToWorker, WorkerTask } from '../../src/agent/workers/protocol-types.js';
import {
  EndReason,
  noteOwnState,
  type StartWorker,
  type Worker,
  type WorkerHooks,
  type WorkerResult,
} from '../../src/agent/workers/worker.js';
import { runSession, type SessionTools } from '../../src/agent/workers/worker-session.js';

/**
 * Workers inside this process, behind the same interface and the same encoded messages, for a
 * box that is not this machine. There is nothing to kill here: a drive that hangs, hangs this.
 */
export function inProcessWorker(
  box: Box,
  clock: Clock,
  tools: Omit<SessionTools, 'box' | 'clock'>,
): StartWorker {
  return (task, hooks) => new InProcessWorker(task, hooks, { ...tools, box, clock });
}

class InProcessWorker implements Worker {
  readonly ended: Promise<WorkerResult>;
  private readonly end = new EndReason();
  private take: (message: ToWorker) => void = () => undefined;
  private closed: () => void = () => undefined;

  constructor(
    private readonly task: WorkerTask,
    private readonly hooks: WorkerHooks,
    tools: SessionTools,
  ) {
    this.ended = this.run(tools);
  }

  send(message: ToWorker): void {
    const text = encodeToWorker(message);
    setImmediate(() => {
      const decoded = decodeToWorker(text);
      if (decoded.ok) this.take(decoded.message);
      else this.end.set('child-died', decoded.why);
    });
  }

  cancel(): void {
    this.end.set('cancelled', 'The work was stopped by request');
    this.closed();
  }

  private async run(tools: SessionTools): Promise<WorkerResult> {
    const startedMs = fineMs(tools.clock);
    const messages: string[] = [];
    let delivered = Promise.resolve();
    const channel = {
      send: (message: Parameters<typeof encodeFromWorker>[0]) => {
        messages.push(encodeFromWorker(message));
        delivered = delivered.then(() => this.deliver(messages.shift()));
      },
      onMessage: (take: (message: ToWorker) => void) => {
        this.take = take;
      },
      onClose: (take: () => void) => {
        this.closed = take;
      },
    };
    try {
      await runSession(channel, tools);
    } catch (error) {
      this.end.set('child-died', `The worker failed: ${String(error)}`);
    }
    await delivered;
    const seconds = (fineMs(tools.clock) - startedMs) / 1000;
    return this.end.result({ exitCode: null, signal: null, seconds, isStuck: false });
  }

  /** One turn of the event loop between sending and hearing, as between two processes. */
  private async deliver(text: string | undefined): Promise<void> {
    await new Promise((resolve) => setImmediate(resolve));
    const decoded = decodeFromWorker(text);
    if (!decoded.ok) {
      this.end.set('child-died', decoded.why);
      return;
    }
    if ('ready' in decoded.message) this.send(this.task);
    const isOwn = noteOwnState(decoded.message, this.end);
    if (!isOwn && !this.end.isSet) this.hooks.onMessage(decoded.message);
  }
}
