import type { FromWorker, ToWorker, WorkerTask } from './protocol-types.js';

/** Both ends of a worker's line, seen from the worker. Texts are encoded by the sender. */
export interface Channel {
  send(message: FromWorker): void;
  onMessage(take: (message: ToWorker) => void): void;
  onClose(take: () => void): void;
}

/**
 * What the parent has said so far. Work never acts inside a message: it looks at these flags
 * between two blocks. A closed channel counts as a stop, since nobody is left to answer to.
 */
export class Inbox {
  private waiting: (() => void)[] = [];
  private firstTask: WorkerTask | null = null;
  private goes = 0;
  paused = false;
  stopped = false;

  constructor(channel: Channel) {
    channel.onMessage((message) => this.take(message));
    channel.onClose(() => {
      this.stopped = true;
      this.wake();
    });
  }

  private take(message: ToWorker): void {
    if ('do' in message) this.firstTask ??= message;
    else if ('go' in message) this.goes += 1;
    else if ('pause' in message) this.paused = message.pause;
    else this.stopped = true;
    this.wake();
  }

  private wake(): void {
    const waiting = this.waiting;
    this.waiting = [];
    for (const resume of waiting) resume();
  }

  private async until(isSo: () => boolean): Promise<void> {
    while (!isSo() && !this.stopped) {
      await new Promise<void>((resolve) => this.waiting.push(resolve));
    }
  }

  /** The one task of this worker, or null when it was told to stop before. */
  async task(): Promise<WorkerTask | null> {
    await this.until(() => this.firstTask !== null);
    return this.stopped ? null : this.firstTask;
  }

  /** Waits while paused; false when told to stop. */
  async mayGoOn(): Promise<boolean> {
    await this.until(() => !this.paused);
    return !this.stopped;
  }

  /** Waits for the answer to the newest ask; false when told to stop instead. */
  async granted(): Promise<boolean> {
    await this.until(() => this.goes > 0);
    if (this.stopped) return false;
    this.goes -= 1;
    return true;
  }

  /** Neither paused nor stopped: the next block may start. */
  get open(): boolean {
    return !this.paused && !this.stopped;
  }
}
