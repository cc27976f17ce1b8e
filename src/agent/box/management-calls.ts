import { constants, open } from 'node:fs';
import { promisify } from 'node:util';
import { type Answer, answered, type ManagementCommand, missing } from './box.js';
import { closeQuietly } from './descriptors.js';
import type { DriveGate } from './drive-gate.js';
import { deviceAbsence } from './errno-class.js';
import { addressOf, fixedBuffer, ioctlLater, readableWithin } from './ffi.js';
import { readsOnly } from './layouts/ipmi-commands.js';
import {
  addressBytes,
  completionAbsence,
  fillControllerAddress,
  fillReply,
  fillRequest,
  messageBytesMax,
  readReply,
  replyBytes,
  requestBytes,
} from './layouts/ipmi-message.js';

const openLater = promisify(open);

const devicePath = '/dev/ipmi0';
const requestNumber = { send: 0x8028690d, receiveTruncated: 0xc030690b } as const;
const answerKind = 1;
/** What is left of answers to nobody here; more than a few cannot wait on a device just opened. */
const strangersMax = 8;
const graceMs = 2_000;

/**
 * Asks the management controller through the kernel's device. Only commands that read are sent. The
 * device is opened for each question: what is answered too late goes away with its descriptor.
 */
export function askController(
  gate: DriveGate,
  command: ManagementCommand,
): Promise<Answer<Uint8Array>> {
  const { name, deadlineMs } = command;
  if (!readsOnly(command)) {
    const text = `Not asked for ${name}: only commands that read are sent to a management controller`;
    return Promise.resolve(missing('refused', text));
  }
  return gate.command(devicePath, {
    name,
    deadlineMs: deadlineMs + graceMs,
    run: () => askOpened(command),
  });
}

async function askOpened(command: ManagementCommand): Promise<Answer<Uint8Array>> {
  let fd: number;
  try {
    fd = await openLater(devicePath, constants.O_RDONLY | constants.O_NONBLOCK);
  } catch (error) {
    const absence = deviceAbsence('Opening the management controller', error);
    const kind = absence.kind === 'gone' ? 'not-there' : absence.kind;
    return { ok: false, absence: { ...absence, kind } };
  }
  try {
    return await exchange(fd, command);
  } finally {
    await closeQuietly(fd);
  }
}

async function exchange(fd: number, command: ManagementCommand): Promise<Answer<Uint8Array>> {
  const sent = await send(fd, command);
  if (!sent.ok) return sent;
  for (let strangers = 0; strangers < strangersMax; strangers += 1) {
    if (!(await readableWithin(fd, command.deadlineMs))) {
      return missing('timed-out', `No answer to ${command.name} in ${command.deadlineMs} ms`);
    }
    const answer = await receive(fd, command.name);
    if (answer === null) continue;
    return answer;
  }
  return missing('aborted', `Asking for ${command.name} brought only answers to something else`);
}

const ownNumber = 1;

async function send(fd: number, command: ManagementCommand): Promise<Answer<null>> {
  const address = fixedBuffer(addressBytes);
  const data = fixedBuffer(Math.max(1, command.data.length));
  const request = fixedBuffer(requestBytes);
  fillControllerAddress(address);
  data.set(command.data);
  const at = { address: addressOf(address), data: addressOf(data) };
  fillRequest(request, command, { number: ownNumber, at });
  const call = await ioctlLater(fd, {
    request: requestNumber.send,
    argument: request,
    pointsTo: [address, data],
  });
  if (call.returned >= 0) return answered(null);
  return { ok: false, absence: deviceAbsence(`Asking for ${command.name}`, call.errno) };
}

/** Null when what came is no answer to this question, or was gone before it could be taken. */
async function receive(fd: number, name: string): Promise<Answer<Uint8Array> | null> {
  const address = fixedBuffer(addressBytes);
  const data = fixedBuffer(messageBytesMax);
  const reply = fixedBuffer(replyBytes);
  fillReply(reply, { address: addressOf(address), data: addressOf(data) });
  const call = await ioctlLater(fd, {
    request: requestNumber.receiveTruncated,
    argument: reply,
    pointsTo: [address, data],
  });
  if (call.returned < 0) {
    const absence = deviceAbsence(`Taking the answer to ${name}`, call.errno);
    return absence.kind === 'busy' ? null : { ok: false, absence };
  }
  const head = readReply(reply);
  if (head.kind !== answerKind || head.number !== ownNumber) return null;
  const [code, ...rest] = data.subarray(0, Math.min(head.dataBytes, messageBytesMax));
  if (code === undefined) return missing('damaged', `The answer to ${name} is empty`);
  if (code !== 0) return { ok: false, absence: completionAbsence(name, code) };
  return answered(Uint8Array.from(rest));
}
