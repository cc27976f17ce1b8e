import { copyFileSync, existsSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { type Agent, assembleAgent } from '../../src/agent/assemble.js';
import type { Box } from '../../src/agent/box/box.js';
import type { Clock } from '../../src/agent/clock.js';
import type { RequestHandler } from '../../src/agent/control.js';
import { decodeRequest } from '../../src/agent/control.js';
import { readPartClasses } from '../../src/agent/part-classes.js';
import { collectPages } from '../../src/agent/probes/collect-pages.js';
import { driveInUse } from '../../src/agent/probes/in-use.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import { openStore } from '../../src/agent/store/write.js';
import type { StartWorker } from '../../src/agent/workers/worker.js';
import type { BoxModel } from '../../src/checks/model/parse.js';
import type { AgentRequest } from '../../src/checks/request.js';
import { inProcessWorker } from '../box/in-process-worker.js';
import type { SimBox } from '../box/sim-box.js';
import { boxOfProcess, clockOfProcess, storeOfProcess } from './this-boot-only.js';

const minuteMs = 60_000;
const storeName = 'store.sqlite';

export interface AgentRunOptions {
  readonly box: SimBox;
  /** Holds the store; the caller makes and removes it. */
  readonly folder: string;
  readonly model?: BoxModel | null;
  readonly modelFile?: string;
  /** How often the schedule looks what is due; each minute when not given. */
  readonly tickMs?: number;
  /** Put between box and agent, for an agent that is to be deceived. */
  readonly between?: (box: Box) => Box;
}

/** One stretch for which the simulated box was on. */
export interface BootSpan {
  /** Number that the store gave it. */
  readonly boot: number;
  /** Number that the simulated box counts. */
  readonly boxBoot: number;
  endedMs: number;
}

interface Process {
  readonly agent: Agent;
  readonly store: StoreWriter;
  isAlive: boolean;
  onTick: (() => Promise<void>) | null;
}

/**
 * The real agent on a simulated box through as many boots as wanted, on one real store file that
 * is opened anew in each. Time passes by the box's clock alone; the schedule ticks each minute of
 * it, or as often as is said, whether the work of the tick before is over or not.
 */
export class AgentRun {
  readonly box: SimBox;
  readonly storeFile: string;
  readonly spans: BootSpan[] = [];
  /** What the agent said about errors, and errors that nothing caught. */
  readonly problems: string[] = [];
  /** How often the schedule looks what is due. */
  tickMs: number;
  readonly #options: AgentRunOptions;
  #process: Process | null = null;
  #seeds = 0;

  constructor(options: AgentRunOptions) {
    this.#options = options;
    this.box = options.box;
    this.tickMs = options.tickMs ?? minuteMs;
    this.storeFile = join(options.folder, storeName);
  }

  get isOn(): boolean {
    return this.#process !== null;
  }

  get agent(): Agent {
    return this.#running().agent;
  }

  get store(): StoreWriter {
    return this.#running().store;
  }

  /** Starts the agent on the box as it is now; jobs of the first tick are under way after it. */
  async switchOn(): Promise<void> {
    const { box } = this;
    const { model = null, modelFile = 'box.toml', between = (same: Box) => same } = this.#options;
    const process: { isAlive: boolean; onTick: Process['onTick'] } = {
      isAlive: true,
      onTick: null,
    };
    const isAlive = () => process.isAlive;
    const clock = clockOfProcess(box.clock, isAlive);
    const own = boxOfProcess(between(box.ofThisBoot()), isAlive);
    const store = storeOfProcess(openStore(this.storeFile, clock), isAlive);
    const boot = store.beginBoot(clock.bootId, clock.wallMs());
    this.spans.push({ boot, boxBoot: box.bootNumber(), endedMs: 0 });
    const agent = await assembleAgent({
      box: own,
      clock,
      store,
      model,
      modelFile,
      classes: readPartClasses(),
      startWorker: workersOn(own, clock),
      tick: (onTick) => {
        process.onTick = onTick;
        void onTick();
        return () => {
          process.onTick = null;
        };
      },
      version: 'simulated',
      limits: [],
      makeSeed: () => this.#nextSeed(),
      say: (line) => this.problems.push(line),
    });
    this.#process = Object.assign(process, { agent, store });
    await agent.begin();
  }

  /** Lets this much time pass with the box on. */
  async pass(ms: number): Promise<void> {
    const { clock } = this.box;
    const until = clock.bootMs() + ms;
    for (let left = ms; left > 0; left = until - clock.bootMs()) {
      await clock.sleep(Math.min(this.tickMs, left));
      void this.#process?.onTick?.();
    }
  }

  /** Lets time pass until something is so, looked at each minute; an error after `mostMs`. */
  async passUntil(isSo: () => boolean, mostMs: number): Promise<void> {
    const until = this.box.clock.bootMs() + mostMs;
    while (!isSo()) {
      if (this.box.clock.bootMs() >= until) throw new Error(`Not so after ${mostMs / 60_000} min`);
      await this.pass(minuteMs);
    }
  }

  /** An orderly shutdown, then off. */
  async shutDown(offMs: number): Promise<void> {
    await this.endAgent();
    this.box.reboot({ offMs });
  }

  /** The box starts again and no drive loses its power; the agent is not switched on yet. */
  async restart(): Promise<void> {
    await this.endAgent();
    this.box.restart();
  }

  /** Ends the agent in order and leaves the box on. */
  async endAgent(): Promise<void> {
    const running = this.#running();
    await running.agent.stop();
    this.#noteEnd();
    running.isAlive = false;
    running.store.close();
    this.#process = null;
  }

  /** The power goes: no line of the agent runs any more, and the store is as it was left. */
  cutPower(offMs: number): void {
    const running = this.#running();
    this.#noteEnd();
    running.isAlive = false;
    this.#process = null;
    const files = ['', '-wal'].map((suffix) => `${this.storeFile}${suffix}`);
    for (const file of files.filter(existsSync)) copyFileSync(file, `${file}.left`);
    running.store.close();
    for (const file of [...files, `${this.storeFile}-shm`]) rmSync(file, { force: true });
    for (const file of files.filter((one) => existsSync(`${one}.left`))) {
      renameSync(`${file}.left`, file);
    }
    this.box.reboot({ offMs, powerCut: true });
  }

  /** Asks as a command on the box would: through the decoder of the socket, as a trusted peer. */
  async ask(request: AgentRequest): Promise<unknown> {
    const decoded = decodeRequest(JSON.stringify(request));
    if ('error' in decoded) throw new Error(decoded.error.text);
    return this.handle(decoded, { isTrusted: true });
  }

  handle: RequestHandler = (request, peer) => this.agent.handle(request, peer);

  #running(): Process {
    if (this.#process === null) throw new Error('The simulated box is off');
    return this.#process;
  }

  #noteEnd(): void {
    const span = this.spans.at(-1);
    if (span !== undefined) span.endedMs = this.box.clock.bootMs();
  }

  #nextSeed(): string {
    this.#seeds += 1;
    return this.#seeds.toString(16).padStart(32, '5eed');
  }
}

function workersOn(box: Box, clock: Clock): StartWorker {
  return inProcessWorker(box, clock, {
    inUse: (drive) => driveInUse(box, drive),
    capture: async ({ address }) => {
      const taken = new Date(clock.wallMs()).toISOString();
      return (await collectPages(box, address, { taken, rare: true, skipIfAsleep: false })).capture;
    },
  });
}
