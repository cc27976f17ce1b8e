import { createServer, type Server, type Socket } from 'node:net';
import type { DriveState } from './drive-state.js';
import { Session } from './session.js';

const namePrefix = 'iqn.2024-01.example.lab:';

/**
 * An iSCSI target (RFC 7143) on loopback with any number of made-up drives, each a target of its
 * own with one logical unit 0, named by its serial.
 */
export class DriveTarget {
  readonly #server: Server;
  readonly #drives = new Map<string, DriveState>();
  readonly #sessions = new Map<Socket, Session>();
  port = 0;

  constructor() {
    this.#server = createServer((socket) => {
      socket.setNoDelay(true);
      const session = new Session(socket, (name) => this.#drives.get(name));
      this.#sessions.set(socket, session);
      socket.on('close', () => this.#sessions.delete(socket));
    });
  }

  add(drive: DriveState): void {
    this.#drives.set(`${namePrefix}${drive.serial.toLowerCase()}`, drive);
  }

  async listen(): Promise<void> {
    await new Promise<void>((resolve, reject) => {
      this.#server.once('error', reject);
      this.#server.listen(0, '127.0.0.1', resolve);
    });
    const address = this.#server.address();
    if (address === null || typeof address === 'string') throw new Error('No port was given');
    this.port = address.port;
  }

  nameOf(drive: DriveState): string {
    return `${namePrefix}${drive.serial.toLowerCase()}`;
  }

  /** As qemu names it: iscsi://host:port/target/unit. */
  addressOf(drive: DriveState): string {
    return `iscsi://127.0.0.1:${this.port}/${this.nameOf(drive)}/0`;
  }

  /** Ends the silence of a drive and runs what it was asked meanwhile. */
  release(drive: DriveState): void {
    drive.silence = 'none';
    for (const session of this.#sessions.values()) session.release();
  }

  async close(): Promise<void> {
    for (const socket of this.#sessions.keys()) socket.destroy();
    await new Promise<void>((resolve) => this.#server.close(() => resolve()));
  }
}
