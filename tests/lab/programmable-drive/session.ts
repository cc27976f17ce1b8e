import type { Socket } from 'node:net';
import type { DriveState } from './drive-state.js';
import { answerLogin } from './login.js';
import {
  isImmediate,
  makeHeader,
  operationOf,
  operations,
  type Pdu,
  PduReader,
  packPdu,
  taskTag,
} from './pdu.js';
import { runScsi } from './scsi-disk.js';
import {
  isComplete,
  makeTask,
  packEnd,
  packReadyToTransfer,
  type Task,
  takeDataOut,
} from './task.js';

const commandWindow = 64;
const rejectUnsupported = 0x05;

/** One connection of an initiator to one drive. Errors end the connection, never the target. */
export class Session {
  readonly #socket: Socket;
  readonly #find: (targetName: string) => DriveState | undefined;
  readonly #reader = new PduReader();
  readonly #tasks = new Map<number, Task>();
  #drive: DriveState | undefined;
  #statusNumber = 1;
  #expectedCommand = 1;

  constructor(socket: Socket, find: (targetName: string) => DriveState | undefined) {
    this.#socket = socket;
    this.#find = find;
    socket.on('data', (bytes) => {
      for (const pdu of this.#reader.push(bytes)) this.#take(pdu);
    });
    socket.on('error', () => socket.destroy());
  }

  /** Runs the commands that were held while the drive was silent. */
  release(): void {
    for (const task of [...this.#tasks.values()])
      if (isComplete(task) && !task.started) this.#run(task);
  }

  #take(pdu: Pdu): void {
    const operation = operationOf(pdu);
    const carriesNumber = operation !== operations.dataOut && operation !== operations.login;
    if (carriesNumber && !isImmediate(pdu)) {
      this.#expectedCommand = (pdu.header.readUInt32BE(24) + 1) >>> 0;
    }
    if (operation === operations.login) this.#login(pdu);
    else if (operation === operations.scsiCommand) this.#command(pdu);
    else if (operation === operations.dataOut) this.#dataOut(pdu);
    else if (operation === operations.taskManagement) this.#manageTask(pdu);
    else this.#serve(pdu, operation);
  }

  #login(pdu: Pdu): void {
    this.#expectedCommand = pdu.header.readUInt32BE(24);
    const answer = answerLogin(pdu, {
      numbers: (header) => this.#numbers(header, true),
      knows: (name) => this.#find(name) !== undefined,
    });
    if (answer.targetName !== undefined) this.#drive = this.#find(answer.targetName);
    this.#socket.write(answer.bytes);
    if (!answer.accepted) this.#socket.end();
  }

  #command(pdu: Pdu): void {
    const task = makeTask(pdu);
    this.#tasks.set(task.tag, task);
    if (isComplete(task)) this.#run(task);
    else this.#send([packReadyToTransfer(task, this.#numbers)]);
  }

  #dataOut(pdu: Pdu): void {
    const task = this.#tasks.get(taskTag(pdu));
    if (task === undefined) return;
    takeDataOut(task, pdu);
    if (isComplete(task)) this.#run(task);
    else if (task.received >= task.wantedUpTo) {
      this.#send([packReadyToTransfer(task, this.#numbers)]);
    }
  }

  /** A command stays in the list until it is answered, so that it can be held, or aborted. */
  #run(task: Task): void {
    const drive = this.#drive;
    if (drive === undefined) {
      this.#socket.destroy();
      return;
    }
    if (drive.silence !== 'none') return;
    task.started = true;
    const end = runScsi(drive, task.cdb, task.dataOut);
    if (end.kind === 'hang') return;
    const answer = () => {
      if (this.#tasks.delete(task.tag)) this.#send(packEnd(task, end, this.#numbers));
    };
    if (end.delayMs > 0) setTimeout(answer, end.delayMs).unref();
    else answer();
  }

  /** ABORT TASK and the wider kinds (RFC 7143, section 11.5): what is named is never answered. */
  #manageTask(pdu: Pdu): void {
    if (this.#drive?.silence === 'everything') return;
    const abortTask = 1;
    if (((pdu.header[1] ?? 0) & 0x7f) === abortTask) {
      this.#tasks.delete(pdu.header.readUInt32BE(20));
    } else this.#tasks.clear();
    this.#answer(pdu, operations.taskManagementAnswer);
  }

  #serve(pdu: Pdu, operation: number): void {
    if (operation === operations.nopOut) {
      if (taskTag(pdu) !== 0xffff_ffff) this.#answer(pdu, operations.nopIn);
    } else if (operation === operations.text) this.#answer(pdu, operations.textAnswer);
    else if (operation === operations.logout) {
      this.#answer(pdu, operations.logoutAnswer);
      this.#socket.end();
    } else this.#reject(pdu);
  }

  #answer(pdu: Pdu, operation: number): void {
    const header = makeHeader(operation, taskTag(pdu));
    const hasTransferTag = operation === operations.nopIn || operation === operations.textAnswer;
    if (hasTransferTag) header.writeUInt32BE(0xffff_ffff, 20);
    this.#numbers(header, true);
    const echo = operation === operations.nopIn ? Buffer.from(pdu.data) : Buffer.alloc(0);
    this.#socket.write(packPdu(header, echo));
  }

  #reject(pdu: Pdu): void {
    const header = makeHeader(operations.reject, 0xffff_ffff);
    header[2] = rejectUnsupported;
    this.#numbers(header, true);
    this.#socket.write(packPdu(header, Buffer.from(pdu.header)));
  }

  readonly #numbers = (header: Buffer, advance: boolean): void => {
    header.writeUInt32BE(this.#statusNumber >>> 0, 24);
    if (advance) this.#statusNumber += 1;
    header.writeUInt32BE(this.#expectedCommand, 28);
    header.writeUInt32BE((this.#expectedCommand + commandWindow) >>> 0, 32);
  };

  #send(parts: readonly Buffer[]): void {
    for (const part of parts) this.#socket.write(part);
  }
}
