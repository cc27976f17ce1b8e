import { createConnection, type Socket } from 'node:net';
import { createInterface } from 'node:readline';

/** A line of qemu's machine protocol (docs/interop/qmp-spec.txt of qemu 7.2). */
interface MonitorLine {
  readonly QMP?: object;
  readonly id?: number;
  readonly return?: unknown;
  readonly error?: { readonly desc: string };
  readonly event?: string;
  readonly data?: { readonly device?: string };
}

interface Wanted {
  readonly isWanted: (line: MonitorLine) => boolean;
  readonly deadlineMs?: number;
  /** Lines heard before this one do not count. */
  readonly from?: number;
}

const answerDeadlineMs = 30_000;
/** The machine takes seconds to let go of a PCI device. */
const pullDeadlineMs = 60_000;

/** Speaks to the emulator itself while the machine runs, over a socket that it opened. */
export class Monitor {
  readonly #socket: Socket;
  readonly #heard: MonitorLine[] = [];
  readonly #listeners = new Set<() => void>();
  #lastId = 0;

  private constructor(path: string) {
    this.#socket = createConnection(path);
    this.#socket.on('error', () => this.#socket.destroy());
    createInterface({ input: this.#socket }).on('line', (line) => {
      this.#heard.push(JSON.parse(line) as MonitorLine);
      for (const look of this.#listeners) look();
    });
  }

  static async connect(path: string): Promise<Monitor> {
    const monitor = new Monitor(path);
    await monitor.#hear('the greeting', { isWanted: ({ QMP }) => QMP !== undefined });
    await monitor.ask('qmp_capabilities');
    return monitor;
  }

  /** Asks the emulator for something that it must do. */
  async ask(execute: string, words: Readonly<Record<string, unknown>> = {}): Promise<unknown> {
    this.#lastId += 1;
    const id = this.#lastId;
    this.#socket.write(`${JSON.stringify({ execute, arguments: words, id })}\n`);
    const answer = await this.#hear(execute, { isWanted: (line) => line.id === id });
    if (answer.error !== undefined) throw new Error(`${execute}: ${answer.error.desc}`);
    return answer.return;
  }

  /** Pulls a device out and waits until the machine has let go of it. */
  async pull(device: string): Promise<void> {
    const from = this.#heard.length;
    await this.ask('device_del', { id: device });
    const isGone = (line: MonitorLine) =>
      line.event === 'DEVICE_DELETED' && line.data?.device === device;
    const end = { isWanted: isGone, deadlineMs: pullDeadlineMs, from };
    await this.#hear(`the end of ${device}`, end);
  }

  close(): void {
    this.#socket.destroy();
  }

  #hear(
    what: string,
    { isWanted, deadlineMs = answerDeadlineMs, from = 0 }: Wanted,
  ): Promise<MonitorLine> {
    return new Promise((resolve, reject) => {
      const look = () => {
        const found = this.#heard.slice(from).find(isWanted);
        if (found === undefined) return;
        clearTimeout(timer);
        this.#listeners.delete(look);
        resolve(found);
      };
      const timer = setTimeout(() => {
        this.#listeners.delete(look);
        reject(new Error(`The emulator gave nothing within ${deadlineMs} ms for ${what}`));
      }, deadlineMs);
      this.#listeners.add(look);
      look();
    });
  }
}
