import { connect, type Socket } from 'node:net';

export interface RawAnswer {
  readonly status: number;
  readonly data: Buffer;
  readonly sense: Buffer;
  /** Positive: so many bytes fewer than expected. */
  readonly residualBytes: number;
}

interface Heard {
  readonly header: Buffer;
  readonly data: Buffer;
}

/**
 * A tiny iSCSI initiator that lays its units down byte by byte from RFC 7143, apart from the code
 * of the target, so that one mistake cannot hide in both.
 */
export class RawInitiator {
  readonly #socket: Socket;
  readonly #waiting: ((unit: Heard) => void)[] = [];
  readonly #heard: Heard[] = [];
  #bytes: Buffer = Buffer.alloc(0);
  #commandNumber = 1;
  #tag = 0x10;

  constructor(port: number) {
    this.#socket = connect(port, '127.0.0.1');
    this.#socket.on('data', (bytes) => {
      this.#bytes = Buffer.concat([this.#bytes, bytes]);
      this.#split();
    });
  }

  /** One login unit from operational negotiation straight to full feature phase. */
  async login(targetName: string): Promise<number> {
    const keys = `InitiatorName=iqn.2024-01.example.lab:test\0TargetName=${targetName}\0HeaderDigest=CRC32C,None\0MadeUpKey=1\0`;
    const header = Buffer.alloc(48);
    header[0] = 0x43;
    header[1] = 0x87;
    header.writeUInt32BE(1, 24);
    this.#write(header, Buffer.from(keys));
    const answer = await this.hear();
    this.loginKeys = answer.data.toString();
    return answer.header.readUInt16BE(36);
  }

  loginKeys = '';

  /** A SCSI command; resolves with its response, after answering every Ready To Transfer. */
  async command(
    cdb: readonly number[],
    move: { read?: number; write?: Buffer } = {},
  ): Promise<RawAnswer> {
    this.send(cdb, move);
    const parts: Buffer[] = [];
    for (;;) {
      const unit = await this.hear();
      const operation = (unit.header[0] ?? 0) & 0x3f;
      if (operation === 0x31) this.#sendData(unit.header, move.write ?? Buffer.alloc(0));
      else if (operation === 0x25) parts.push(unit.data);
      else if (operation === 0x21) return toAnswer(unit, Buffer.concat(parts));
      else throw new Error(`Unit ${operation.toString(16)} was not expected here`);
    }
  }

  /** Sends a command and does not wait; gives its task tag. */
  send(cdb: readonly number[], move: { read?: number; write?: Buffer } = {}): number {
    const header = Buffer.alloc(48);
    header[0] = 0x01;
    header[1] = 0x80 | (move.read === undefined ? 0 : 0x40) | (move.write === undefined ? 0 : 0x20);
    this.#tag += 1;
    header.writeUInt32BE(this.#tag, 16);
    header.writeUInt32BE(move.read ?? move.write?.length ?? 0, 20);
    header.writeUInt32BE(this.#commandNumber, 24);
    Buffer.from(cdb).copy(header, 32);
    this.#commandNumber += 1;
    this.#write(header);
    return this.#tag;
  }

  /** A unit of another kind, as given. */
  sendUnit(header: Buffer): void {
    this.#write(header);
  }

  async hear(): Promise<Heard> {
    const ready = this.#heard.shift();
    if (ready !== undefined) return ready;
    return new Promise((resolve) => this.#waiting.push(resolve));
  }

  /** The next unit, or null when none comes in time. */
  async hearWithin(ms: number): Promise<Heard | null> {
    const late = new Promise<null>((resolve) => setTimeout(() => resolve(null), ms));
    return Promise.race([this.hear(), late]);
  }

  close(): void {
    this.#socket.destroy();
  }

  #sendData(readyToTransfer: Buffer, data: Buffer): void {
    const offset = readyToTransfer.readUInt32BE(40);
    const bytes = readyToTransfer.readUInt32BE(44);
    const header = Buffer.alloc(48);
    header[0] = 0x05;
    header[1] = 0x80;
    readyToTransfer.copy(header, 16, 16, 24);
    header.writeUInt32BE(offset, 40);
    this.#write(header, data.subarray(offset, offset + bytes));
  }

  #write(header: Buffer, data: Buffer = Buffer.alloc(0)): void {
    header.writeUIntBE(data.length, 5, 3);
    this.#socket.write(Buffer.concat([header, data, Buffer.alloc(-data.length & 3)]));
  }

  #split(): void {
    while (this.#bytes.length >= 48) {
      const length = this.#bytes.readUIntBE(5, 3);
      const total = 48 + length + (-length & 3);
      if (this.#bytes.length < total) return;
      const unit = {
        header: this.#bytes.subarray(0, 48),
        data: this.#bytes.subarray(48, 48 + length),
      };
      this.#bytes = this.#bytes.subarray(total);
      const waiting = this.#waiting.shift();
      if (waiting === undefined) this.#heard.push(unit);
      else waiting(unit);
    }
  }
}

function toAnswer(unit: Heard, data: Buffer): RawAnswer {
  return {
    status: unit.header[3] ?? -1,
    data,
    sense: unit.data.length < 2 ? Buffer.alloc(0) : Buffer.from(unit.data.subarray(2)),
    residualBytes: ((unit.header[1] ?? 0) & 2) === 2 ? unit.header.readUInt32BE(44) : 0,
  };
}
