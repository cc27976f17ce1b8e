import type { Capture } from '../checks/capture.js';
import type { DriveSeen, Inventory } from '../checks/part.js';
import type { Box } from './box/box.js';
import type { Clock } from './clock.js';
import { DriveCautions } from './drive-cautions.js';
import type { RefusalMemory } from './probes/asking-round.js';
import { behindBridge } from './probes/behind-bridge.js';
import { type Collected, type CollectOptions, collectPages } from './probes/collect-pages.js';
import { interpret } from './probes/interpret.js';
import type { Interpretation, Learned } from './probes/interpretation.js';
import {
  isAskedUnqueued,
  mayBeMember,
  type PoliteBox,
  politeBox,
  quietMomentComes,
} from './probes/quiet-moment.js';
import { textOrNull } from './probes/read-kernel.js';
import { whyOtherDrive } from './probes/whose-answer.js';
import { lacksRest } from './speed/array-rest.js';
import type { StoreWriter } from './store/store.js';

/** How much of a drive's records is asked for: each holds what stands before it. */
export type Depth = 'temperature' | 'counters' | 'rare';

export type Asked =
  | {
      readonly kind: 'answered';
      readonly capture: Capture;
      readonly asleep: boolean;
      /** Only temperature and verdict were asked for. */
      readonly gentle: boolean;
      /** Why the drive was not asked to the end, or null. */
      readonly stoppedBy: string | null;
      readonly found: Interpretation;
    }
  /** Not asked now, for a reason that passes. */
  | { readonly kind: 'later' }
  /** Nothing is believed or asked, for a reason that a person should know. */
  | { readonly kind: 'none'; readonly why: string };

export interface AskQuestion {
  readonly depth: Depth;
  readonly inventory: Inventory;
  /** Requests reached the drive a short time ago, so that it does not sleep. */
  readonly usedLately: boolean;
  /** What was learned of the drive before. */
  readonly learned?: Learned;
}

interface AskingParts {
  readonly box: Box;
  readonly clock: Clock;
  readonly store: StoreWriter;
  readonly boot: number;
}

/** Our choice: after so long without a quiet moment the reading itself says that there was none. */
const busyMsMax = { temperature: 15 * 60_000, counters: 3_600_000, rare: 3_600_000 } as const;

/**
 * Asks drives so that asking never hurts: no sleeper is woken, a member of an array is asked only
 * in a quiet moment and only gently while its array needs rest, and what answers must be the drive
 * that was meant.
 */
export class DriveAsking {
  readonly #parts: AskingParts;
  readonly #cautions: DriveCautions;
  readonly #refusals = new Map<string, RefusalMemory>();
  readonly #busySince = new Map<string, { readonly bootMs: number; readonly wallMs: number }>();
  /** Serial numbers that came through bridges, by the drive that was asked. */
  readonly #throughBridge = new Map<string, string>();

  constructor(parts: AskingParts) {
    this.#parts = parts;
    this.#cautions = new DriveCautions(parts);
  }

  /** Why the long logs of a drive are not asked for again in this boot, or null. */
  whyNotRare(drive: DriveSeen): string | null {
    return this.#cautions.whyNotRare(drive.id);
  }

  async ask(drive: DriveSeen, question: AskQuestion): Promise<Asked> {
    const taken = await this.#otherDisk(drive);
    if (taken !== null) return { kind: 'none', why: taken };
    const polite = await this.#politeBox(drive, question);
    if (polite === null) return this.#putOff(drive, question.depth);
    const gentle = await this.#asksGently(drive, question);
    const options = this.#optionsFor(drive, { question, gentle });
    const collected = await collectPages(polite.box, drive, options);
    if (polite.heldBack()) return this.#putOff(drive, question.depth);
    this.#busySince.delete(drive.identityKey);
    if (collected.timedOut) this.#cautions.noteTimeOut(drive.id);
    const after = await this.#otherDisk(drive);
    if (after !== null) return { kind: 'none', why: after };
    return this.#believed(drive, { collected, gentle, question });
  }

  /** Temperature of a member through the kernel's own sensor is a command like ours. */
  async isQuiet(drive: DriveSeen, inventory: Inventory): Promise<boolean> {
    const { box, clock } = this.#parts;
    if (!(await this.#needsQuiet(drive, inventory))) return true;
    return quietMomentComes(box, { clock, kernelName: drive.kernelName });
  }

  #believed(
    drive: DriveSeen,
    round: {
      readonly collected: Collected;
      readonly gentle: boolean;
      readonly question: AskQuestion;
    },
  ): Asked {
    const { capture, asleep, leftAlone, stoppedBy } = round.collected;
    const found = interpret(capture, round.question.learned);
    const { serial } = found.identity;
    const why = whyOtherDrive({
      drive,
      told: found.identity,
      earlier: this.#throughBridge.get(drive.identityKey) ?? null,
      others: round.question.inventory.drives.map((other) => other.serial),
    });
    if (why !== null) return { kind: 'none', why };
    if (leftAlone) return { kind: 'none', why: mayBeAsleep };
    if (serial !== null) this.#throughBridge.set(drive.identityKey, serial);
    const readings = [...found.readings, ...behindBridge(drive, found.identity)];
    const { gentle } = round;
    return {
      kind: 'answered',
      capture,
      asleep,
      gentle,
      stoppedBy,
      found: { ...found, readings },
    };
  }

  #optionsFor(
    drive: DriveSeen,
    { question, gentle }: { question: AskQuestion; gentle: boolean },
  ): CollectOptions {
    return {
      taken: new Date(this.#parts.clock.wallMs()).toISOString(),
      rare: question.depth === 'rare',
      skipIfAsleep: true,
      leaveIfUntold: this.#mayWake(drive, question),
      refusals: this.#refusalsOf(drive),
      ...(gentle ? { gentle: { verdict: question.depth !== 'temperature' } } : {}),
    };
  }

  /** Where the way to it does not tell whether it sleeps, the kernel's request counters must do. */
  #mayWake({ rotating, reachedBy }: DriveSeen, { usedLately }: AskQuestion): boolean {
    return rotating !== false && reachedBy !== 'nvme' && !usedLately;
  }

  async #asksGently({ id }: DriveSeen, { depth, inventory }: AskQuestion): Promise<boolean> {
    if (depth === 'temperature') return true;
    return lacksRest(this.#parts.box, { id, arrays: inventory.arrays ?? [] });
  }

  async #needsQuiet(drive: DriveSeen, { arrays = [] }: Inventory): Promise<boolean> {
    return mayBeMember(drive.id, arrays) && isAskedUnqueued(this.#parts.box, drive);
  }

  /** The box to ask through, or null when no quiet moment came. */
  async #politeBox(drive: DriveSeen, { inventory }: AskQuestion): Promise<PoliteBox | null> {
    const { box, clock } = this.#parts;
    if (!(await this.#needsQuiet(drive, inventory))) return { box, heldBack: () => false };
    const question = { clock, kernelName: drive.kernelName };
    return (await quietMomentComes(box, question)) ? politeBox(box, question) : null;
  }

  #putOff({ identityKey }: DriveSeen, depth: Depth): Asked {
    const { clock } = this.#parts;
    const known = this.#busySince.get(identityKey);
    const since = known ?? { bootMs: clock.bootMs(), wallMs: clock.wallMs() };
    this.#busySince.set(identityKey, since);
    if (clock.bootMs() - since.bootMs < busyMsMax[depth]) return { kind: 'later' };
    const start = new Date(since.wallMs).toISOString().slice(0, 16).replace('T', ' ');
    const why = `Busy since ${start} UTC with work of its array: no moment without requests came in which it could be asked`;
    return { kind: 'none', why };
  }

  /** The kernel numbers each disk that it finds: another number is another disk. */
  async #otherDisk({ kernelName, diskSequence }: DriveSeen): Promise<string | null> {
    if (diskSequence === null) return null;
    const now = await textOrNull(this.#parts.box, `/sys/block/${kernelName}/diskseq`);
    return now === null || now.trim() === diskSequence
      ? null
      : 'Its name in the kernel went to another disk: nothing read under it is believed';
  }

  #refusalsOf(drive: DriveSeen): RefusalMemory {
    const known = this.#refusals.get(drive.identityKey) ?? new Map();
    this.#refusals.set(drive.identityKey, known);
    return known;
  }
}

const mayBeAsleep =
  'Not asked: the way to the drive does not tell whether it sleeps, and nobody used it lately';
