import { createContext, Script } from 'node:vm';
import { type Chance, makeChance } from './chance.js';
import { damagedPage } from './mutate-bytes.js';
import { damagedText } from './mutate-text.js';
import { troubleIn } from './outcome.js';
import { type FuzzTarget, textOf } from './target.js';

/** A defect: the input brings it about again, and so do seed and number. */
export interface Defect {
  readonly target: string;
  readonly number: number;
  readonly trouble: string;
  readonly input: string;
}

export interface FuzzResult {
  readonly seed: number;
  readonly inputs: number;
  /** Inputs by target, and how many of them ended in a value rather than in a typed error. */
  readonly byTarget: ReadonlyMap<string, { readonly inputs: number; readonly values: number }>;
  readonly defects: readonly Defect[];
}

export interface FuzzLimits {
  /** One input may take this long; one that takes longer is tried twice more. */
  readonly inputMsMax: number;
  /** A stretch of inputs that lasts longer holds one that never ends. */
  readonly stretchMsMax: number;
}

const usual: FuzzLimits = { inputMsMax: 200, stretchMsMax: 20_000 };
const stretchInputs = 1000;

/** Feeds every target with its share of the inputs; a target with a defect is left alone then. */
export function fuzz(
  targets: readonly FuzzTarget[],
  { seed, inputs }: { readonly seed: number; readonly inputs: number },
  limits: FuzzLimits = usual,
): FuzzResult {
  const shares = targets.reduce((sum, { share }) => sum + share, 0);
  const feeds = targets.map((target) => new Feed(target, seed, limits));
  for (const feed of feeds) feed.due = Math.ceil((inputs * feed.target.share) / shares);
  // Most inputs end in a typed error; finding out where each was made takes longer than all else.
  const { stackTraceLimit } = Error;
  Error.stackTraceLimit = 0;
  let open: readonly Feed[] = feeds;
  while (open.length > 0) {
    for (const feed of open) feed.runStretch();
    open = open.filter((feed) => feed.defect === null && feed.done < feed.due);
  }
  Error.stackTraceLimit = stackTraceLimit;
  return {
    seed,
    inputs: feeds.reduce((sum, { done }) => sum + done, 0),
    byTarget: new Map(
      feeds.map(({ target, done, values }) => [target.name, { inputs: done, values }]),
    ),
    defects: feeds.flatMap(({ defect }) => defect ?? []),
  };
}

class Feed {
  readonly target: FuzzTarget;
  due = 0;
  done = 0;
  values = 0;
  defect: Defect | null = null;
  readonly #chance: Chance;
  readonly #limits: FuzzLimits;
  readonly #seedTexts: readonly string[];
  #now: Uint8Array = new Uint8Array();

  constructor(target: FuzzTarget, seed: number, limits: FuzzLimits) {
    this.target = target;
    this.#chance = makeChance(seed, target.name);
    this.#limits = limits;
    this.#seedTexts = target.kind === 'text' ? target.seeds.map(textOf) : [];
  }

  runStretch(): void {
    const most = Math.min(stretchInputs, this.due - this.done);
    const ended = withinTime(this.#limits.stretchMsMax, () => {
      for (let left = most; left > 0 && this.defect === null; left -= 1) this.#runOne();
    });
    if (!ended && !this.#ends()) this.#note('it does not come to an end');
  }

  /** The stretch may have been held up by another process: the input that was under way decides. */
  #ends(): boolean {
    return withinTime(this.#limits.stretchMsMax, () => this.#outcome(this.#now));
  }

  #runOne(): void {
    this.#now = this.#nextInput();
    const started = performance.now();
    const trouble = this.#troubleOf(this.#now);
    const tookMs = performance.now() - started;
    this.done += 1;
    if (trouble !== null) this.#note(trouble);
    else if (tookMs > this.#limits.inputMsMax) this.#timeAgain();
  }

  #nextInput(): Uint8Array {
    const { kind, seeds, mend } = this.target;
    if (kind === 'text') return Buffer.from(damagedText(this.#seedTexts, this.#chance), 'utf8');
    return damagedPage(seeds, this.#chance, mend);
  }

  #troubleOf(input: Uint8Array): string | null {
    const first = this.#outcome(rooms[0].hold(input));
    if (first.trouble !== null) return first.trouble;
    if (first.value !== undefined) this.values += 1;
    if (this.done % 8 !== 0) return null;
    const second = this.#outcome(rooms[1].hold(input));
    const same = second.trouble === null && wordsOf(second.value) === wordsOf(first.value);
    return same ? null : 'it depends on bytes past the end of the page';
  }

  #outcome(input: Uint8Array): { readonly value?: unknown; readonly trouble: string | null } {
    try {
      const value = this.target.run(input);
      const around = { limits: this.target.limits, inputLength: input.length };
      return { value: value ?? null, trouble: troubleIn(value, around) };
    } catch (error) {
      if (this.target.errors.some((known) => error instanceof known)) return { trouble: null };
      return { trouble: `it threw ${String(error)}` };
    }
  }

  /** Another process may have held the processor, so time is taken again as this one's own. */
  #timeAgain(): void {
    for (let round = 0; round < 2; round += 1) {
      const before = process.cpuUsage();
      this.#outcome(this.#now);
      const { user, system } = process.cpuUsage(before);
      if ((user + system) / 1000 <= this.#limits.inputMsMax) return;
    }
    this.#note(`it takes longer than ${this.#limits.inputMsMax} ms`);
  }

  #note(trouble: string): void {
    const { name, kind } = this.target;
    const input = kind === 'text' ? JSON.stringify(textOf(this.#now)) : hexOf(this.#now);
    this.defect = { target: name, number: this.done, trouble, input };
  }
}

function hexOf(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString('hex');
}

/** A page with a wall on both sides: what is read past its end tells itself by the wall's bytes. */
class Room {
  readonly #bytes: Uint8Array;
  readonly #wall: number;
  #end = wallBytes;

  constructor(wall: number) {
    this.#wall = wall;
    this.#bytes = new Uint8Array(roomBytes).fill(wall);
  }

  /** The page within the room, good until the next one comes. */
  hold(page: Uint8Array): Uint8Array {
    const end = wallBytes + page.length;
    if (end + wallBytes > roomBytes) return page;
    this.#bytes.set(page, wallBytes);
    if (end < this.#end) this.#bytes.fill(this.#wall, end, this.#end);
    this.#end = end;
    return this.#bytes.subarray(wallBytes, end);
  }
}

const wallBytes = 600;
const roomBytes = 16_384;
const rooms = [new Room(0x00), new Room(0xa5)] as const;

function wordsOf(value: unknown): string {
  return (
    JSON.stringify(value, (_key, one: unknown) => {
      if (typeof one === 'bigint') return `${one}n`;
      if (one instanceof Map) return [...one];
      return one instanceof Set ? [...one] : one;
    }) ?? 'nothing'
  );
}

const stage = { work: () => {} };
const context = createContext(stage);
const script = new Script('work()');

/** False when the work was broken off. Only the engine itself can break off an endless loop. */
function withinTime(timeoutMs: number, work: () => void): boolean {
  stage.work = work;
  try {
    script.runInContext(context, { timeout: timeoutMs });
    return true;
  } catch (error) {
    if (isTimeout(error)) return false;
    throw error;
  }
}

/** The error may be one of another realm, so its class tells nothing. */
function isTimeout(error: unknown): boolean {
  if (typeof error !== 'object' || error === null || !('code' in error)) return false;
  return error.code === 'ERR_SCRIPT_EXECUTION_TIMEOUT';
}
