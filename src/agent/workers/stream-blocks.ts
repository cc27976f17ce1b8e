import type { Answer } from '../box/box.js';

export interface Range {
  readonly fromByte: number;
  readonly toByte: number;
}

/** Memory of one request in flight. It is replaced after a request that never came back. */
export interface Slot {
  buffer: Uint8Array;
}

/** `lost` means that the block does not count as done and nothing more is to be started. */
export type BlockOutcome = 'on' | 'stop' | 'lost';

export interface StreamJob extends Range {
  readonly blockBytes: number;
  readonly slots: readonly Slot[];
  /** Asked before each request; false ends the stream after the blocks in hand. */
  mayGoOn(): boolean;
  issue(slot: Slot, block: Range): Promise<Answer<number>>;
  finish(slot: Slot, block: Range, answer: Answer<number>): Promise<BlockOutcome>;
}

interface InFlight {
  readonly slot: Slot;
  readonly block: Range;
  readonly answer: Promise<Answer<number>>;
}

/**
 * Moves along a range with one request in flight per slot and finishes the blocks in order.
 * Everything that was started is awaited before it returns. Answers with the end of what is done.
 */
export async function streamBlocks(job: StreamJob): Promise<number> {
  const free = [...job.slots];
  const flying: InFlight[] = [];
  let nextByte = job.fromByte;
  let doneTo = job.fromByte;
  let outcome: BlockOutcome = 'on';
  for (;;) {
    while (outcome === 'on' && free.length > 0 && nextByte < job.toByte && job.mayGoOn()) {
      const slot = free.pop();
      if (slot === undefined) break;
      const block = blockAt(job, nextByte);
      flying.push({ slot, block, answer: job.issue(slot, block) });
      nextByte = block.toByte;
    }
    const oldest = flying.shift();
    if (oldest === undefined) return doneTo;
    const result = await job.finish(oldest.slot, oldest.block, await oldest.answer);
    if (outcome !== 'lost') {
      if (result !== 'lost') doneTo = oldest.block.toByte;
      if (result !== 'on') outcome = result;
    }
    free.push(oldest.slot);
  }
}

/** Blocks end at whole multiples of their size, wherever the range begins. */
function blockAt(job: StreamJob, fromByte: number): Range {
  const edge = (Math.floor(fromByte / job.blockBytes) + 1) * job.blockBytes;
  return { fromByte, toByte: Math.min(edge, job.toByte) };
}
