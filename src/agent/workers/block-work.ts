import type { PlaceError } from '../../checks/burn-in-result.js';
import { type AbsenceKind, type Answer, type BlockHandle, missing } from '../box/box.js';
import {
  compareBlock,
  firstUnknown,
  looksWrapped,
  type Mismatch,
  makePattern,
  type Pattern,
  type StampedBuffer,
  stampBuffer,
  stampedBuffer,
  stampOf,
} from '../burn-in/pattern.js';
import { type Clock, fineMs } from '../clock.js';
import { locateErrors, readErrorKind, writeErrorKind } from './locate.js';
import type { BlockTask, StretchProgress } from './protocol-types.js';
import { type BlockOutcome, type Range, type Slot, streamBlocks } from './stream-blocks.js';
import { Tally } from './tally.js';

export const defaultBlockBytes = 4 * 1024 * 1024;
export const stretchBytesMax = 1024 * 1024 * 1024;
export const stretchMsMax = 10_000;

/** Longest time spent on dividing failed blocks in one stretch. */
const locateMsMax = 60_000;
const requestsInFlight = 2;

/** Reading gives up on a drive after this many requests without an end. */
const timeoutsMax = 3;

export interface StretchResult {
  readonly progress: StretchProgress;
  /** The drive stopped answering or went away: nothing more can be done with it now. */
  readonly lost: AbsenceKind | null;
}

interface Stretch {
  readonly tally: Tally;
  readonly state: { lost: AbsenceKind | null; lastMs: number; locateMsLeft: number };
}

interface Failure {
  readonly slot: Slot;
  readonly block: Range;
  readonly kind: AbsenceKind;
}

/** Reads, writes or verifies stretches of one open drive. It writes only inside the given range. */
export class BlockWork {
  private readonly pattern: Pattern;
  private readonly expected: StampedBuffer;
  private readonly slots: readonly (Slot & { stamped: StampedBuffer | null })[];
  private wrapped: boolean | null = null;
  private timeouts = 0;
  atByte: number;

  constructor(
    private readonly handle: BlockHandle,
    private readonly task: BlockTask,
    private readonly clock: Clock,
  ) {
    this.pattern = makePattern({
      seed: task.seed,
      pass: task.pass,
      drive: task.drive,
      sectorBytes: handle.logicalBlockBytes,
    });
    const blockBytes = task.blockBytes ?? defaultBlockBytes;
    this.expected = stampedBuffer(new Uint8Array(blockBytes));
    this.slots = Array.from({ length: requestsInFlight }, () => ({
      buffer: handle.makeBuffer(blockBytes),
      stamped: null,
    }));
    this.atByte = task.fromByte;
  }

  async stretch(range: Range, isOpen: () => boolean): Promise<StretchResult> {
    const started = fineMs(this.clock);
    const tally = new Tally(this.handle.sizeBytes);
    const state: Stretch['state'] = { lost: null, lastMs: started, locateMsLeft: locateMsMax };
    const toByte = await streamBlocks({
      ...range,
      blockBytes: this.task.blockBytes ?? defaultBlockBytes,
      slots: this.slots,
      mayGoOn: () => isOpen() && fineMs(this.clock) - started < stretchMsMax,
      issue: (slot, block) => this.issue(slot, block),
      finish: async (slot, block, answer) => {
        this.atByte = block.fromByte;
        const outcome = await this.finish({ slot, block, answer }, { tally, state });
        const now = fineMs(this.clock);
        if (outcome !== 'lost') tally.addTime(block, Math.max(0, now - state.lastMs) / 1000);
        state.lastMs = now;
        return outcome;
      },
    });
    const seconds = Math.max(0, fineMs(this.clock) - started) / 1000;
    const progress = tally.progress({ fromByte: range.fromByte, toByte }, seconds);
    return { progress, lost: state.lost };
  }

  /** A transfer that moved fewer bytes than asked for is a failed one. */
  private issue(slot: Slot, block: Range): Promise<Answer<number>> {
    const piece = slot.buffer.subarray(0, block.toByte - block.fromByte);
    if (this.task.do !== 'write') return whole(piece, this.handle.read(block.fromByte, piece));
    stampBuffer(this.pattern, this.stampedSlot(slot), block.fromByte);
    return whole(piece, this.handle.write(block.fromByte, piece));
  }

  private stampedSlot(slot: Slot): StampedBuffer {
    const kept = this.slots.find((one) => one === slot);
    if (kept?.stamped?.bytes === slot.buffer) return kept.stamped;
    const made = stampedBuffer(slot.buffer);
    if (kept !== undefined) kept.stamped = made;
    return made;
  }

  private async finish(
    done: { slot: Slot; block: Range; answer: Answer<number> },
    stretch: Stretch,
  ): Promise<BlockOutcome> {
    const { slot, block, answer } = done;
    if (!answer.ok) return this.failed({ slot, block, kind: answer.absence.kind }, stretch);
    const bytes = slot.buffer.subarray(0, block.toByte - block.fromByte);
    if (this.task.do === 'read') {
      const unknown = firstUnknown(bytes, this.pattern.sectorBytes);
      if (unknown !== null) stretch.tally.noteUnknown(block.fromByte + unknown);
    }
    if (this.task.do === 'verify') {
      stretch.tally.addErrors(await this.compare(bytes, block.fromByte));
    }
    return 'on';
  }

  private async compare(bytes: Uint8Array, fromByte: number): Promise<readonly Mismatch[]> {
    stampBuffer(this.pattern, this.expected, fromByte);
    const blocks = { actual: bytes, expected: this.expected, fromByte };
    const found = compareBlock(this.pattern, blocks);
    const later = found.find(({ lba, belongsAt }) => belongsAt !== null && belongsAt > lba);
    if (later === undefined) return found;
    this.wrapped ??= await this.probeForWrap(later);
    if (!this.wrapped) return found;
    return found.map((one) => (one.kind === 'misplaced' ? { ...one, kind: 'wrapped' } : one));
  }

  /** Reads single sectors over the part that would be overwritten if addresses went round. */
  private async probeForWrap(first: Mismatch): Promise<boolean> {
    const { sectorBytes, stamp } = this.pattern;
    const sectors = this.handle.sizeBytes / sectorBytes;
    const span = sectors - ((first.belongsAt ?? first.lba) - first.lba);
    const buffer = this.handle.makeBuffer(sectorBytes);
    const probes: { lba: number; belongsAt: number | null }[] = [];
    for (let index = 0; index < 8; index += 1) {
      const lba = Math.floor((index * span) / 8);
      const answer = await this.handle.read(lba * sectorBytes, buffer);
      if (!answer.ok) return false;
      const found = stampOf(buffer);
      const isOurs = found?.runKey === stamp.runKey && found.pass === stamp.pass;
      probes.push({ lba, belongsAt: isOurs ? found.lba : null });
    }
    return looksWrapped(probes);
  }

  private async failed(failure: Failure, stretch: Stretch): Promise<BlockOutcome> {
    const { slot, block, kind } = failure;
    if (isLoss(kind)) return this.lose({ ...failure, errors: [] }, stretch);
    const started = fineMs(this.clock);
    const located = await locateErrors({
      ...block,
      sectorBytes: this.pattern.sectorBytes,
      kindOf: this.task.do === 'write' ? writeErrorKind : readErrorKind,
      failedAs: kind,
      timeIsLeft: () => fineMs(this.clock) - started < stretch.state.locateMsLeft,
      attempt: (piece) => this.issue(slot, piece),
    });
    stretch.state.locateMsLeft -= fineMs(this.clock) - started;
    stretch.tally.addErrors(located.errors, located.unlocatedBytes);
    if (located.lost === null) return 'on';
    return this.lose({ ...failure, kind: located.lost, errors: located.errors }, stretch);
  }

  /**
   * A request without an end. Its memory may still be used by the late request, so the slot gets
   * another buffer. Reading goes on behind the place a few times; writing never does, since the
   * late write may land at any later moment.
   */
  private lose(
    loss: Failure & { readonly errors: readonly PlaceError[] },
    stretch: Stretch,
  ): BlockOutcome {
    const { slot, block, kind } = loss;
    slot.buffer = this.handle.makeBuffer(slot.buffer.length);
    if (kind === 'timed-out') {
      this.timeouts += 1;
      const lba = block.fromByte / this.pattern.sectorBytes;
      const isNew = loss.errors.length === 0;
      if (isNew)
        stretch.tally.addErrors([{ lba, kind: 'timed-out' }], block.toByte - block.fromByte);
      if (this.task.do !== 'write' && this.timeouts < timeoutsMax) return 'on';
    }
    stretch.state.lost = kind;
    return 'lost';
  }
}

function isLoss(kind: AbsenceKind): boolean {
  return kind === 'timed-out' || kind === 'gone' || kind === 'not-there';
}

async function whole(piece: Uint8Array, moving: Promise<Answer<number>>): Promise<Answer<number>> {
  const answer = await moving;
  if (!answer.ok || answer.value === piece.length) return answer;
  return missing('aborted', `Only ${answer.value} of ${piece.length} bytes were moved`);
}
