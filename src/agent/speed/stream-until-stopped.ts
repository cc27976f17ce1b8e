import type { BlockHandle } from '../box/box.js';
import { type Clock, fineMs } from '../clock.js';
import type { StreamTask } from '../workers/protocol-types.js';
import { streamBlocks } from '../workers/stream-blocks.js';
import { requestBytesMax, requestsInFlight } from './measure-places.js';

export interface StreamTools {
  readonly clock: Clock;
  readonly mayGoOn: () => boolean;
  readonly atByte: (byte: number) => void;
}

/**
 * Reads a range past the page cache, from its end on from its start again, until it is stopped or
 * the time is over. Answers why it ended early, or null.
 */
export async function streamUntilStopped(
  handle: BlockHandle,
  task: StreamTask,
  tools: StreamTools,
): Promise<string | null> {
  const ends = fineMs(tools.clock) + task.seconds * 1000;
  const toByte = Math.min(task.toByte, handle.sizeBytes);
  const blockBytes = Math.min(requestBytesMax, toByte - task.fromByte);
  if (!(blockBytes >= handle.logicalBlockBytes)) return 'The range to read is empty';
  const slots = Array.from({ length: requestsInFlight }, () => ({
    buffer: handle.makeBuffer(blockBytes),
  }));
  const isOver = () => !tools.mayGoOn() || fineMs(tools.clock) >= ends;
  let failure: string | null = null;
  while (failure === null && !isOver()) {
    await streamBlocks({
      fromByte: task.fromByte,
      toByte,
      blockBytes,
      slots,
      mayGoOn: () => !isOver(),
      issue: (slot, block) =>
        handle.read(block.fromByte, slot.buffer.subarray(0, block.toByte - block.fromByte)),
      finish: async (_slot, block, answer) => {
        tools.atByte(block.toByte);
        if (answer.ok) return 'on';
        failure = answer.absence.text;
        return 'lost';
      },
    });
  }
  return failure;
}
