import { judgeBurnIn } from '../../checks/burn-in-verdict.js';
import type { DriveSeen } from '../../checks/part.js';
import type { Reading } from '../../checks/reading.js';
import type { RunningWork } from '../../checks/request.js';
import { fineMs } from '../clock.js';
import { instantNow } from '../instant.js';
import type { FromWorker } from '../workers/protocol-types.js';
import { expectedOf } from '../workers/prove-drive.js';
import type { Worker } from '../workers/worker.js';
import type { Command, ReadingStage, RunEvent, WorkOrder } from './commands.js';
import type { BurnInParts } from './engine-parts.js';
import type { Entry } from './journal.js';
import { plannedBytes } from './plan.js';
import {
  applyEntry,
  currentStage,
  errorCount,
  evidenceOf,
  type RunState,
  stateWord,
} from './run-state.js';
import { step } from './step.js';

/** How often the drive's temperature is read while it works, and while it cools. */
const temperatureEveryMs = 60_000;

export interface RunStart {
  readonly run: number;
  readonly seed: string;
  readonly boot: number;
  readonly state: RunState;
  /** Null while the drive is not there. */
  readonly drive: DriveSeen | null;
}

/**
 * Carries out what `step` decides for one run. Events are taken one after another; an entry is
 * durable before the next command. A store that fails ends the work at once: without a journal
 * nothing may go on.
 */
export class Run {
  readonly run: number;
  drive: DriveSeen | null;
  state: RunState;
  /** Why the run cannot go on in this process; null when it can. */
  brokenBy: string | null = null;
  /** A worker of this run could not be ended: its drive is left alone until the next boot. */
  isStuck = false;
  private readonly seed: string;
  private readonly boot: number;
  private worker: Worker | null = null;
  private isReading = false;
  private isCooling = false;
  private isClosed = false;
  private lastTemperatureMs: number | null = null;
  private lastRate: number | null = null;
  private shownState: string;
  private queue: Promise<void> = Promise.resolve();

  constructor(
    private readonly parts: BurnInParts,
    start: RunStart,
  ) {
    this.run = start.run;
    this.seed = start.seed;
    this.boot = start.boot;
    this.state = start.state;
    this.drive = start.drive;
    this.shownState = stateWord(start.state);
  }

  /** Takes one event after those before it; resolves when it has been dealt with. */
  push(event: RunEvent): Promise<void> {
    this.queue = this.queue.then(() => this.handle(event)).catch((error) => this.breakOff(error));
    return this.queue;
  }

  /** Starts or goes on from where the journal stands. */
  begin(): Promise<void> {
    if (this.state.pausedBy === 'heat') void this.waitUntilCool();
    return this.push({ event: 'go-on' });
  }

  get isOver(): boolean {
    return this.state.hasVerdict;
  }

  /** Ends the work of this process; the journal keeps where the run stands. */
  async close(): Promise<void> {
    await this.queue;
    if (this.isClosed) return;
    if (!this.isOver && this.brokenBy === null) {
      await this.queueEntry({ kind: 'event', body: { event: 'agent-stopped' } });
    }
    this.isClosed = true;
    this.worker?.cancel();
    await this.worker?.ended;
    await this.queue;
  }

  private queueEntry(entry: Entry): Promise<void> {
    this.queue = this.queue.then(() => this.append(entry)).catch((error) => this.breakOff(error));
    return this.queue;
  }

  private handle(event: RunEvent): void {
    if (this.isClosed || this.brokenBy !== null) return;
    for (const command of step(this.state, event).commands) this.carryOut(command);
    this.showState();
  }

  private breakOff(error: unknown): void {
    this.brokenBy = error instanceof Error ? error.message : String(error);
    this.worker?.cancel();
  }

  private append(entry: Entry): void {
    this.parts.store.appendJournal(this.run, this.now(), entry.kind, entry.body);
    this.state = applyEntry(this.state, entry);
  }

  private now() {
    return instantNow(this.parts.clock, this.boot);
  }

  private showState(): void {
    const word = stateWord(this.state);
    if (word === this.shownState || this.isOver) return;
    this.parts.store.updateBurnIn(this.run, this.now(), word, null);
    this.shownState = word;
  }

  private carryOut(command: Command): void {
    switch (command.do) {
      case 'append':
        this.append(command.entry);
        break;
      case 'work':
        this.startWork(command.order);
        break;
      case 'let-write':
        this.worker?.send({ go: true });
        break;
      case 'pause-worker':
        this.pauseWorker();
        break;
      case 'unpause':
        this.worker?.send({ pause: false });
        this.goOn();
        break;
      case 'end-worker':
        this.worker?.cancel();
        break;
      case 'take-readings':
        this.takeReadings(command.stage);
        break;
      case 'give-verdict':
        this.giveVerdict();
        break;
      case 'go-on':
        if (command.afterMs === undefined) this.goOn();
        else void this.parts.clock.sleep(command.afterMs).then(() => this.goOn());
        break;
    }
  }

  private goOn(): void {
    if (this.worker === null && !this.isReading) void this.push({ event: 'go-on' });
  }

  private startWork(order: WorkOrder): void {
    if (this.worker !== null || this.drive === null) return;
    const { plan } = this.state;
    const task = {
      ...order,
      drive: expectedOf(this.drive),
      run: this.run,
      seed: this.seed,
      pass: plan.pass,
      stretchBytes: plan.stretchBytes,
      blockBytes: plan.blockBytes,
      consented: plan.consented,
    };
    const worker = this.parts.startWorker(task, { onMessage: (message) => this.hear(message) });
    this.worker = worker;
    void worker.ended.then((result) => {
      this.worker = null;
      this.isStuck ||= result.reason === 'stuck';
      void this.push({ event: 'worker-ended', result });
    });
  }

  private hear(message: FromWorker): void {
    if ('ask' in message) {
      const { fromByte, toByte } = message;
      void this.push({ event: 'asked', fromByte, toByte });
    } else if ('progress' in message) {
      const { fromByte, toByte, seconds } = message.progress;
      if (seconds > 0) this.lastRate = (toByte - fromByte) / seconds;
      void this.push({ event: 'progress', progress: message.progress });
      this.watchTemperature();
    }
  }

  private pauseWorker(): void {
    this.worker?.send({ pause: true });
    if (this.state.pausedBy === 'heat') void this.waitUntilCool();
  }

  private takeReadings(stage: ReadingStage): void {
    const { drive } = this;
    if (this.isReading) return;
    this.isReading = true;
    const when = stage === 'readings-before' ? 'before' : 'after';
    // A drive that gives no readings gives an empty list: the verdict then says what is missing.
    const taken = drive === null ? Promise.resolve([]) : this.parts.takeReadings(drive, when);
    void taken
      .catch((): readonly Reading[] => [])
      .then((readings) => {
        this.isReading = false;
        void this.push({ event: 'readings', stage, readings });
      });
  }

  /** Asks for the temperature at most once a minute, beside the work. */
  private watchTemperature(): void {
    const now = fineMs(this.parts.clock);
    const last = this.lastTemperatureMs;
    if (last !== null && now - last < temperatureEveryMs) return;
    this.lastTemperatureMs = now;
    void this.readTemperature();
  }

  private async readTemperature(): Promise<void> {
    if (this.drive === null || this.isOver || this.isClosed) return;
    const readings = await this.parts.takeReadings(this.drive, 'during').catch(() => []);
    // At other places stand limits of cold, of slowing itself, and of other sensors.
    const figure = (metric: string) =>
      readings.find((reading) => reading.metric === metric && reading.place === undefined)?.value;
    const celsius = figure('temperature') ?? null;
    if (celsius === null) return;
    const limit = figure('temperature-limit') ?? null;
    await this.push({ event: 'temperature', celsius, limit });
  }

  private async waitUntilCool(): Promise<void> {
    if (this.isCooling) return;
    this.isCooling = true;
    while (this.state.pausedBy === 'heat' && !this.isClosed && this.brokenBy === null) {
      await this.parts.clock.sleep(temperatureEveryMs);
      await this.readTemperature();
    }
    this.isCooling = false;
  }

  private giveVerdict(): void {
    const verdict = judgeBurnIn(evidenceOf(this.state));
    this.append({ kind: 'result', body: { verdict: { ...verdict } } });
    this.parts.store.updateBurnIn(this.run, this.now(), stateWord(this.state), verdict);
  }

  /** The run as the status shows it. */
  work(): RunningWork {
    const { plan, stages } = this.state;
    const doneBytes = plan.stages
      .filter((stage) => !stage.startsWith('readings-'))
      .reduce((sum, stage) => sum + stages[stage].doneBytes, 0);
    const totalBytes = plannedBytes(plan);
    const state = this.brokenBy === null ? stateWord(this.state) : 'interrupted';
    const rate = state === 'running' ? this.lastRate : null;
    return {
      kind: 'burn-in',
      run: this.run,
      drive: plan.drive.id,
      stage: currentStage(this.state) ?? 'readings-after',
      state,
      erases: plan.erases,
      doneBytes,
      totalBytes,
      bytesPerSecond: rate,
      secondsLeft: rate === null || rate <= 0 ? null : (totalBytes - doneBytes) / rate,
      errors: errorCount(this.state),
    };
  }
}
