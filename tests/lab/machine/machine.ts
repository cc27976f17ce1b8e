import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, openSync, readFileSync } from 'node:fs';
import { createServer, type Server, type Socket } from 'node:net';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import type { GuestEnd, GuestReply, GuestRequest } from './guest-messages.js';
import { Monitor } from './monitor.js';
import { driveArguments, type MachineDrive, machineArguments } from './qemu-arguments.js';
import { Skipped } from './skipped.js';

const qemu = '/usr/bin/qemu-system-x86_64';
const bootDeadlineMs = 180_000;

export interface MachineOptions {
  readonly name: string;
  readonly folder: string;
  readonly image: string;
  readonly archive: string;
  readonly drives: readonly MachineDrive[];
  /** Further options of qemu, for what is no drive. */
  readonly devices?: readonly string[];
}

type Unsent = GuestRequest extends infer One
  ? One extends GuestRequest
    ? Omit<One, 'id'>
    : never
  : never;

/**
 * One emulated machine from power-on to power-off. Programs run inside by request; everything has
 * a deadline, and the emulator is ended by its own process id whatever happened.
 */
export class Machine {
  readonly consoleLog: string;
  readonly #waiting = new Map<number, (reply: GuestReply) => void>();
  readonly #child: ChildProcess;
  readonly #server: Server;
  readonly #monitorSocket: string;
  #monitor: Promise<Monitor> | undefined;
  #socket: Socket | undefined;
  #lastId = 0;
  #ended: string | null = null;

  private constructor(options: MachineOptions, server: Server, channelSocket: string) {
    this.consoleLog = join(options.folder, `${options.name}.console`);
    this.#server = server;
    server.on('connection', (socket) => this.#listen(socket));
    this.#monitorSocket = join(options.folder, `${options.name}.monitor`);
    const { consoleLog } = this;
    const files = { channelSocket, consoleLog, monitorSocket: this.#monitorSocket };
    const words = [
      ...machineArguments({ ...options, ...files }),
      ...driveArguments(options.drives),
      ...(options.devices ?? []),
    ];
    const log = openSync(join(options.folder, `${options.name}.qemu`), 'a');
    this.#child = spawn(qemu, words, { stdio: ['ignore', log, log] });
    // Whatever ends this process must end the emulator too: an uncaught error, a closed pipe.
    process.on('exit', this.#killNow);
    this.#child.on('error', (error) => this.#end(error.message));
    this.#child.on('exit', (code, signal) => this.#end(`the emulator ended: ${code ?? signal}`));
  }

  static async start(options: MachineOptions): Promise<Machine> {
    if (!existsSync(qemu)) throw new Skipped('The package qemu-system-x86 is not installed');
    const channelSocket = join(options.folder, `${options.name}.sock`);
    const server = createServer();
    await new Promise<void>((resolve) => server.listen(channelSocket, resolve));
    const machine = new Machine(options, server, channelSocket);
    try {
      await machine.#reply(0, bootDeadlineMs, 'the machine to come up');
    } catch (error) {
      await machine.stop();
      throw error;
    }
    return machine;
  }

  /** Runs a program inside to its end. */
  async run(
    argv: readonly string[],
    options: { deadlineMs?: number; input?: string } = {},
  ): Promise<GuestEnd> {
    const deadlineMs = options.deadlineMs ?? 90_000;
    const asked = { kind: 'run' as const, argv, deadlineMs, input: options.input ?? '' };
    const reply = await this.#ask(asked, deadlineMs + 15_000);
    if ('end' in reply) return reply.end;
    throw new Error(`"${argv.join(' ')}" was not run: ${JSON.stringify(reply)}`);
  }

  /** Runs a program that must succeed; gives what it printed. */
  async must(
    argv: readonly string[],
    options: { deadlineMs?: number; input?: string } = {},
  ): Promise<string> {
    const end = await this.run(argv, options);
    if (end.status === 0) return end.printed;
    throw new Error(
      `"${argv.join(' ')}" ended with ${end.status ?? end.signal}: ${end.complaints}${end.printed}`,
    );
  }

  /** Starts a program that goes on; gives its process id inside. */
  async start(argv: readonly string[], logFile: string): Promise<number> {
    const reply = await this.#ask({ kind: 'start', argv, logFile }, 30_000);
    if ('pid' in reply && reply.pid > 0) return reply.pid;
    throw new Error(`"${argv.join(' ')}" was not started: ${JSON.stringify(reply)}`);
  }

  async kill(pid: number, signal: 'SIGKILL' | 'SIGTERM'): Promise<void> {
    const reply = await this.#ask({ kind: 'kill', pid, signal }, 30_000);
    if ('error' in reply) throw new Error(`Process ${pid} got no ${signal}: ${reply.error}`);
  }

  /** What speaks to the emulator itself, connected when it is first wanted. */
  monitor(): Promise<Monitor> {
    this.#monitor ??= Monitor.connect(this.#monitorSocket);
    return this.#monitor;
  }

  readonly #killNow = (): void => {
    this.#child.kill('SIGKILL');
  };

  async stop(): Promise<void> {
    process.off('exit', this.#killNow);
    if (this.#child.exitCode === null && this.#child.signalCode === null) {
      const gone = new Promise((resolve) => this.#child.once('exit', resolve));
      this.#child.kill('SIGKILL');
      if (this.#child.pid !== undefined) await gone;
    }
    this.#socket?.destroy();
    (await this.#monitor?.catch(() => undefined))?.close();
    await new Promise<void>((resolve) => this.#server.close(() => resolve()));
  }

  /** The last lines that the machine printed, for a person who looks for a cause. */
  lastConsoleLines(): string {
    if (!existsSync(this.consoleLog)) return '(no console)';
    return readFileSync(this.consoleLog, 'latin1').split('\n').slice(-15).join('\n');
  }

  #listen(socket: Socket): void {
    this.#socket = socket;
    socket.on('error', () => socket.destroy());
    createInterface({ input: socket }).on('line', (line) => {
      const reply = JSON.parse(line) as GuestReply;
      this.#waiting.get(reply.id)?.(reply);
    });
  }

  #ask(request: Unsent, deadlineMs: number): Promise<GuestReply> {
    this.#lastId += 1;
    const whole = { ...request, id: this.#lastId };
    const what = 'argv' in request ? request.argv.join(' ') : request.kind;
    const reply = this.#reply(whole.id, deadlineMs, what);
    this.#socket?.write(`${JSON.stringify(whole)}\n`);
    return reply;
  }

  #reply(id: number, deadlineMs: number, what: string): Promise<GuestReply> {
    return new Promise((resolve, reject) => {
      const fail = (why: string) => {
        this.#waiting.delete(id);
        reject(new Error(`Waited for ${what}: ${why}\n${this.lastConsoleLines()}`));
      };
      if (this.#ended !== null) return fail(this.#ended);
      const timer = setTimeout(() => fail(`nothing within ${deadlineMs} ms`), deadlineMs);
      this.#waiting.set(id, (reply) => {
        clearTimeout(timer);
        this.#waiting.delete(id);
        resolve(reply);
      });
    });
  }

  /** Everybody who waits is told at once that no answer will come. */
  #end(why: string): void {
    this.#ended ??= why;
    for (const [id, answer] of this.#waiting) answer({ id, error: why });
  }
}
