import type { Capture } from '../../checks/capture.js';
import type { DriveSeen } from '../../checks/part.js';
import type { AbsenceKind, BlockHandle, Box } from '../box/box.js';
import { beyondConsent, lookAtSurface } from '../burn-in/look.js';
import type { Clock } from '../clock.js';
import { measurePlaces } from '../speed/measure-places.js';
import { streamUntilStopped } from '../speed/stream-until-stopped.js';
import { BlockWork, stretchBytesMax } from './block-work.js';
import { type Channel, Inbox } from './inbox.js';
import { protocolVersion } from './protocol.js';
import type {
  BlockTask,
  ExpectedDrive,
  SpeedTask,
  StreamTask,
  StretchProgress,
  WorkerTask,
} from './protocol-types.js';
import { asDriveSeen, differenceOf } from './prove-drive.js';

/** Longest wait for one request: the kernel's own time limit, a reset and its retries fit in it. */
const requestDeadlineMs = 200_000;

export interface SessionTools {
  readonly box: Box;
  readonly clock: Clock;
  /** Reasons why the drive is in use; empty when it is not. */
  readonly inUse: (drive: DriveSeen) => Promise<readonly string[]>;
  readonly capture: (drive: ExpectedDrive) => Promise<Capture>;
  /** Told where the work stands, for signs of life. */
  readonly atByte?: (byte: number) => void;
}

interface Refusal {
  readonly code: string;
  readonly text: string;
}

/**
 * One worker's whole life: says that it is ready, takes one task, does it, says how it ended.
 * The same code runs in a process of its own and inside the tests. It trusts nothing that the
 * parent has proved: the drive is proved, the use is looked up and the surface looked at again.
 */
export async function runSession(channel: Channel, tools: SessionTools): Promise<void> {
  const inbox = new Inbox(channel);
  channel.send({ ready: true, version: protocolVersion });
  const task = await inbox.task();
  if (task === null) return;
  const refusal = await carryOut(task, { channel, inbox, tools });
  if (refusal !== null) channel.send({ refused: refusal });
  else if (!inbox.stopped) channel.send({ done: true });
}

interface Surroundings {
  readonly channel: Channel;
  readonly inbox: Inbox;
  readonly tools: SessionTools;
}

async function carryOut(task: WorkerTask, around: Surroundings): Promise<Refusal | null> {
  if (task.do === 'capture') {
    around.channel.send({ captured: await around.tools.capture(task.drive) });
    return null;
  }
  if (task.do === 'speed') return measureSpeed(task, around);
  return task.do === 'stream' ? readOn(task, around) : workOnBlocks(task, around);
}

async function workOnBlocks(task: BlockTask, around: Surroundings): Promise<Refusal | null> {
  const { tools } = around;
  const reasons = await tools.inUse(asDriveSeen(task.drive));
  if (reasons.length > 0) return { code: 'in-use', text: reasons.join('; ') };
  return withProvenDrive(task.drive, {
    tools,
    write: task.do === 'write',
    exclusive: true,
    work: async (handle) => {
      const refusal = badRange(task, handle) ?? (await beyondWhatWasAgreed(task, handle, tools));
      return (
        refusal ??
        workThrough(new BlockWork(handle, task, tools.clock), task, {
          ...around,
          handle,
        })
      );
    },
  });
}

/** Opens the drive, proves through the open descriptor that it is the planned one, closes it. */
async function withProvenDrive(
  drive: ExpectedDrive,
  options: {
    readonly tools: SessionTools;
    readonly write: boolean;
    readonly exclusive: boolean;
    readonly work: (handle: BlockHandle) => Promise<Refusal | null>;
  },
): Promise<Refusal | null> {
  const opened = await options.tools.box.openBlocks(drive.address, {
    write: options.write,
    exclusive: options.exclusive,
    deadlineMs: requestDeadlineMs,
  });
  if (!opened.ok) {
    return { code: codeOfFailedOpen(opened.absence.kind), text: opened.absence.text };
  }
  const handle = opened.value;
  const refusal = await proveThenWork(handle, drive, options.work);
  const closed = handle.close();
  // A drive that hangs may hang its closing too; the end of the process closes it then.
  if (refusal === null || !lossCodes.includes(refusal.code)) await closed;
  return refusal;
}

function codeOfFailedOpen(kind: AbsenceKind): string {
  if (kind === 'busy') return 'held';
  return kind === 'gone' || kind === 'not-there' ? 'drive-gone' : 'cannot-open';
}

const lossCodes = ['too-slow', 'drive-gone'];

async function proveThenWork(
  handle: BlockHandle,
  drive: ExpectedDrive,
  work: (handle: BlockHandle) => Promise<Refusal | null>,
): Promise<Refusal | null> {
  const identity = await handle.identity();
  if (!identity.ok) return { code: 'not-same-drive', text: identity.absence.text };
  const difference = differenceOf(drive, identity.value);
  if (difference !== null) return { code: 'not-same-drive', text: difference };
  return work(handle);
}

function badRange(task: BlockTask, handle: BlockHandle): Refusal | null {
  const sector = handle.logicalBlockBytes;
  const { fromByte, toByte } = task;
  const inside = fromByte < toByte && toByte <= handle.sizeBytes;
  const whole = [fromByte, toByte, task.blockBytes ?? sector, task.stretchBytes ?? sector].every(
    (bytes) => bytes % sector === 0,
  );
  const small = (task.blockBytes ?? sector) > 0 && (task.blockBytes ?? 0) <= 64 * 1024 * 1024;
  const stretch = task.stretchBytes ?? stretchBytesMax;
  if (inside && whole && small && stretch > 0 && stretch <= stretchBytesMax) return null;
  return {
    code: 'bad-task',
    text: `A range must lie on the drive in whole sectors of ${sector} bytes, found ${fromByte} to ${toByte}`,
  };
}

async function beyondWhatWasAgreed(
  task: BlockTask,
  handle: BlockHandle,
  tools: SessionTools,
): Promise<Refusal | null> {
  if (task.do !== 'write') return null;
  const look = await lookAtSurface(handle, task.seed, {
    onPlace: (fromByte) => tools.atByte?.(fromByte),
  });
  const beyond = beyondConsent(look, task.consented ?? []);
  if (beyond.length === 0) return null;
  const things = beyond.map(({ words, atByte }) => `${words} at byte ${atByte}`);
  return {
    code: 'holds-unknown-data',
    text: `The drive holds what nobody agreed to erase: ${things.join(', ')}`,
  };
}

async function workThrough(
  work: BlockWork,
  task: BlockTask,
  around: Surroundings & { readonly handle: BlockHandle },
): Promise<Refusal | null> {
  const { channel, inbox, tools } = around;
  let at = task.fromByte;
  while (at < task.toByte && (await inbox.mayGoOn())) {
    const toByte = Math.min(at + (task.stretchBytes ?? stretchBytesMax), task.toByte);
    const range = { fromByte: at, toByte };
    if (task.do === 'write') {
      channel.send({ ask: 'write', ...range });
      if (!(await inbox.granted())) return null;
    }
    const result = await work.stretch(range, () => {
      tools.atByte?.(work.atByte);
      return inbox.open;
    });
    if (result.lost !== null) {
      channel.send({ progress: endOfLost(task, result.progress) });
      return lossOf(result.lost, result.progress.toByte);
    }
    const unflushed = task.do === 'write' ? await flush(around.handle) : null;
    if (unflushed !== null) return unflushed;
    channel.send({ progress: result.progress });
    at = result.progress.toByte;
  }
  return null;
}

/** Nothing that was written before the loss could be flushed, so none of it counts. */
function endOfLost(task: BlockTask, progress: StretchProgress): StretchProgress {
  return task.do === 'write' ? { ...progress, toByte: progress.fromByte } : progress;
}

/** What was not flushed is not done: the stretch then stays uncommitted. */
async function flush(handle: BlockHandle): Promise<Refusal | null> {
  const flushed = await handle.flush();
  if (flushed.ok) return null;
  const lost = flushed.absence.kind === 'gone' || flushed.absence.kind === 'not-there';
  return { code: lost ? 'drive-gone' : 'flush-failed', text: flushed.absence.text };
}

function lossOf(kind: AbsenceKind, atByte: number): Refusal {
  if (kind === 'timed-out') {
    return { code: 'too-slow', text: `The drive did not answer in time near byte ${atByte}` };
  }
  return { code: 'drive-gone', text: `The drive went away near byte ${atByte}` };
}

async function measureSpeed(task: SpeedTask, around: Surroundings): Promise<Refusal | null> {
  const { channel, inbox, tools } = around;
  return withProvenDrive(task.drive, {
    tools,
    write: false,
    exclusive: false,
    work: async (handle) => {
      await measurePlaces(handle, task, {
        box: tools.box,
        clock: tools.clock,
        mayGoOn: () => inbox.mayGoOn(),
        report: (speed) => channel.send({ speed }),
        atByte: (byte) => tools.atByte?.(byte),
      });
      return null;
    },
  });
}

/** Reads on and on: whoever asked measures by the kernel's counters how fast that is. */
async function readOn(task: StreamTask, around: Surroundings): Promise<Refusal | null> {
  const { inbox, tools } = around;
  return withProvenDrive(task.drive, {
    tools,
    write: false,
    exclusive: false,
    work: async (handle) => {
      const failure = await streamUntilStopped(handle, task, {
        clock: tools.clock,
        mayGoOn: () => inbox.open,
        atByte: (byte) => tools.atByte?.(byte),
      });
      return failure === null ? null : { code: 'unreadable', text: failure };
    },
  });
}
