import { mkdtempSync, rmSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { ProgrammableDisk } from './programmable-disk.js';

/** A tiny client of the NBD protocol, laid down by hand: handshake, then one request at a time. */
class TinyClient {
  readonly #socket: Socket;
  #bytes: Buffer = Buffer.alloc(0);
  #wake: () => void = () => {};

  constructor(path: string) {
    this.#socket = connect(path);
    this.#socket.on('data', (bytes) => {
      this.#bytes = Buffer.concat([this.#bytes, bytes]);
      this.#wake();
    });
  }

  async take(bytes: number): Promise<Buffer> {
    while (this.#bytes.length < bytes) {
      await new Promise<void>((resolve) => {
        this.#wake = resolve;
      });
    }
    const taken = this.#bytes.subarray(0, bytes);
    this.#bytes = this.#bytes.subarray(bytes);
    return taken;
  }

  /** Handshake with the option "go"; gives the size in bytes. */
  async open(): Promise<bigint> {
    expect((await this.take(18)).toString('latin1', 0, 16)).toBe('NBDMAGICIHAVEOPT');
    this.#socket.write(Buffer.from('00000003', 'hex'));
    await this.#option(99, '80000001');
    const information = await this.#option(7, '00000003');
    expect((await this.take(20)).toString('hex', 12, 16)).toBe('00000001');
    return information.readBigUInt64BE(2);
  }

  async #option(option: number, answer: string): Promise<Buffer> {
    const head = Buffer.alloc(16);
    head.write('IHAVEOPT');
    head.writeUInt32BE(option, 8);
    this.#socket.write(head);
    const reply = await this.take(20);
    expect(reply.toString('hex', 12, 16)).toBe(answer);
    return this.take(reply.readUInt32BE(16));
  }

  async request(type: number, place: { sector: number; count: number }, data?: Buffer) {
    const head = Buffer.alloc(28);
    head.writeUInt32BE(0x25609513);
    head.writeUInt16BE(type, 6);
    head.write('handle01', 8);
    head.writeBigUInt64BE(BigInt(place.sector * 512), 16);
    head.writeUInt32BE(place.count * 512, 24);
    this.#socket.write(data === undefined ? head : Buffer.concat([head, data]));
    const reply = await this.take(16);
    expect(reply.toString('latin1', 8)).toBe('handle01');
    const error = reply.readUInt32BE(4);
    const bytes = type === 0 && error === 0 ? await this.take(place.count * 512) : Buffer.alloc(0);
    return { error, bytes };
  }

  close(): void {
    this.#socket.destroy();
  }
}

let folder: string;
let disk: ProgrammableDisk;
let client: TinyClient;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'bayward-disk-'));
  disk = new ProgrammableDisk(join(folder, 'disk.sock'), 8);
  await disk.listen();
  client = new TinyClient(disk.socketPath);
  expect(await client.open()).toBe(8_388_608n);
});

afterEach(async () => {
  client.close();
  await disk.close();
  rmSync(folder, { recursive: true });
});

const read = (sector: number, count = 1) => client.request(0, { sector, count });
const write = (sector: number, data: Buffer) =>
  client.request(1, { sector, count: data.length / 512 }, data);

it('reads zeros, then what was written, across its inner chunks', async () => {
  expect((await read(16_383)).bytes).toEqual(Buffer.alloc(512));
  const data = Buffer.alloc(300 * 512).map((_, index) => index % 253) as Buffer;
  expect((await write(100, data)).error).toBe(0);
  expect((await read(100, 300)).bytes.equals(data)).toBe(true);
});

it('fails a pending sector until it is rewritten, and an unreadable one for good', async () => {
  disk.medium.plant({ kind: 'pending', range: { from: 50, to: 50 } });
  disk.medium.plant({ kind: 'unreadable', range: { from: 60, to: 60 } });
  expect([(await read(48, 4)).error, (await read(49)).error, (await read(51)).error]).toEqual([
    5, 0, 0,
  ]);
  await write(50, Buffer.alloc(512, 9));
  await write(60, Buffer.alloc(512, 9));
  expect([(await read(50)).bytes[0], (await read(60)).error]).toEqual([9, 5]);
});

it('flips one byte and forgets a write', async () => {
  disk.medium.plant({ kind: 'flip', sector: 5, byte: 100, mask: 0x01 });
  disk.medium.plant({ kind: 'drop', range: { from: 7, to: 7 } });
  await write(4, Buffer.alloc(5 * 512, 0x40));
  const { bytes } = await read(4, 5);
  expect([bytes[512 + 99], bytes[512 + 100], bytes[3 * 512], bytes[4 * 512]]).toEqual([
    0x40, 0x41, 0, 0x40,
  ]);
});

it('waits where it is slow, and hears a flush', async () => {
  disk.medium.plant({ kind: 'slow', range: { from: 9, to: 9 }, delayMs: 60 });
  const before = performance.now();
  await read(9);
  expect(performance.now() - before).toBeGreaterThan(55);
  await client.request(3, { sector: 0, count: 0 });
  expect(disk.flushes).toBe(1);
});

it('refuses what lies past its end and what it does not know', async () => {
  expect((await read(16_384)).error).toBe(22);
  expect((await client.request(77, { sector: 0, count: 0 })).error).toBe(22);
});
