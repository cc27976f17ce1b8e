import { unlinkSync } from 'node:fs';
import { createServer, type Server, type Socket } from 'node:net';
import { FaultyMedium, type MediumOutcome, sectorBytes } from './faulty-medium.js';

const greeting = Buffer.concat([Buffer.from('NBDMAGICIHAVEOPT'), Buffer.from([0, 3])]);
const optionAnswerMagic = 0x0003_e889_0455_65a9n;
const answerMagic = 0x6744_6698;
const options = { exportName: 1, abort: 2, info: 6, go: 7 };
const answers = { done: 1, information: 3, unsupported: 0x8000_0001 };
const commands = { read: 0, write: 1, disconnect: 2, flush: 3 };
/** Flags are present; flush, forced unit access and discard can be asked. */
const transmissionFlags = 1 | 4 | 8 | 32;
const inputOutputError = 5;
const invalid = 22;

/**
 * A network block device server on a unix socket (the NBD project's protocol document, fixed
 * newstyle) over a medium with planted faults. Its rules may change while it answers.
 */
export class ProgrammableDisk {
  readonly medium: FaultyMedium;
  readonly socketPath: string;
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();
  flushes = 0;

  constructor(socketPath: string, mebibytes: number) {
    this.socketPath = socketPath;
    this.medium = new FaultyMedium(mebibytes * 2048);
    this.#server = createServer((socket) => {
      socket.setNoDelay(true);
      this.#sockets.add(socket);
      socket.on('close', () => this.#sockets.delete(socket));
      new Connection(socket, this).start();
    });
  }

  async listen(): Promise<void> {
    await new Promise<void>((resolve, reject) => {
      this.#server.once('error', reject);
      this.#server.listen(this.socketPath, resolve);
    });
  }

  async close(): Promise<void> {
    for (const socket of this.#sockets) socket.destroy();
    await new Promise<void>((resolve) => this.#server.close(() => resolve()));
    try {
      unlinkSync(this.socketPath);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    }
  }
}

interface Request {
  readonly type: number;
  readonly handle: Buffer;
  readonly offset: number;
  readonly length: number;
  readonly payload: Buffer;
}

class Connection {
  readonly #socket: Socket;
  readonly #disk: ProgrammableDisk;
  #held: Buffer = Buffer.alloc(0);
  #phase: 'flags' | 'options' | 'requests' = 'flags';

  constructor(socket: Socket, disk: ProgrammableDisk) {
    this.#socket = socket;
    this.#disk = disk;
  }

  start(): void {
    this.#socket.on('error', () => this.#socket.destroy());
    this.#socket.on('data', (bytes) => {
      this.#held = this.#held.length === 0 ? bytes : Buffer.concat([this.#held, bytes]);
      while (this.#step());
    });
    this.#socket.write(greeting);
  }

  /** Handles one whole message if there is one. */
  #step(): boolean {
    if (this.#phase === 'flags') {
      if (this.#take(4) === null) return false;
      this.#phase = 'options';
      return true;
    }
    return this.#phase === 'options' ? this.#option() : this.#request();
  }

  #take(bytes: number): Buffer | null {
    if (this.#held.length < bytes) return null;
    const taken = this.#held.subarray(0, bytes);
    this.#held = this.#held.subarray(bytes);
    return taken;
  }

  #option(): boolean {
    if (this.#held.length < 16) return false;
    const option = this.#held.readUInt32BE(8);
    if (this.#take(16 + this.#held.readUInt32BE(12)) === null) return false;
    const size = Buffer.alloc(10);
    size.writeBigUInt64BE(BigInt(this.#disk.medium.sectors * sectorBytes));
    size.writeUInt16BE(transmissionFlags, 8);
    if (option === options.info || option === options.go) {
      this.#answerOption(option, answers.information, Buffer.concat([Buffer.alloc(2), size]));
      this.#answerOption(option, answers.done);
      if (option === options.go) this.#phase = 'requests';
    } else if (option === options.exportName) {
      this.#socket.write(size);
      this.#phase = 'requests';
    } else if (option === options.abort) this.#socket.end();
    else this.#answerOption(option, answers.unsupported);
    return true;
  }

  #answerOption(option: number, answer: number, data = Buffer.alloc(0)): void {
    const head = Buffer.alloc(20);
    head.writeBigUInt64BE(optionAnswerMagic);
    head.writeUInt32BE(option, 8);
    head.writeUInt32BE(answer, 12);
    head.writeUInt32BE(data.length, 16);
    this.#socket.write(Buffer.concat([head, data]));
  }

  #request(): boolean {
    if (this.#held.length < 28) return false;
    const type = this.#held.readUInt16BE(6);
    const length = this.#held.readUInt32BE(24);
    const whole = this.#take(28 + (type === commands.write ? length : 0));
    if (whole === null) return false;
    this.#serve({
      type,
      length,
      handle: Buffer.from(whole.subarray(8, 16)),
      offset: Number(whole.readBigUInt64BE(16)),
      payload: whole.subarray(28),
    });
    return true;
  }

  #serve(request: Request): void {
    const { type } = request;
    if (type === commands.disconnect) this.#socket.end();
    else if (type === commands.flush) {
      this.#disk.flushes += 1;
      this.#answer(request, { error: 0 });
    } else if (type === commands.read || type === commands.write) this.#move(request);
    else this.#answer(request, { error: invalid });
  }

  #move(request: Request): void {
    const { medium } = this.#disk;
    const first = request.offset / sectorBytes;
    const count = request.length / sectorBytes;
    const isWhole = Number.isInteger(first) && Number.isInteger(count);
    if (!isWhole || first + count > medium.sectors) this.#answer(request, { error: invalid });
    else if (request.type === commands.read) this.#finish(request, medium.read(first, count));
    else this.#finish(request, medium.write(first, request.payload));
  }

  #finish(request: Request, outcome: MediumOutcome): void {
    if (outcome.kind === 'hang') return;
    const answer = () =>
      outcome.kind === 'done'
        ? this.#answer(request, { error: 0, data: outcome.data })
        : this.#answer(request, { error: inputOutputError });
    if (outcome.delayMs > 0) setTimeout(answer, outcome.delayMs);
    else answer();
  }

  #answer(request: Request, end: { error: number; data?: Buffer }): void {
    const head = Buffer.alloc(16);
    head.writeUInt32BE(answerMagic);
    head.writeUInt32BE(end.error, 4);
    request.handle.copy(head, 8);
    this.#socket.write(head);
    if (end.data !== undefined && end.data.length > 0) this.#socket.write(end.data);
  }
}
