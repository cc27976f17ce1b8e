import type { DriveSeen } from '../../checks/part.js';
import type { RunningWork } from '../../checks/request.js';
import { exitCodes, UserError } from '../../checks/user-error.js';
import { instantNow } from '../instant.js';
import type { BurnInRow } from '../store/rows.js';
import type { BurnInOptions, BurnInParts } from './engine-parts.js';
import { canProveSame, driveDiffers, loadRun, verdictIn } from './load-run.js';
import { type BurnInOffer, findDrive, gatherFacts, offerOf, refusalError } from './offer.js';
import { planBurnIn } from './plan.js';
import { Run } from './run.js';
import { freshRun, type RunState, stateWord } from './run-state.js';

/** All burn-ins of the box. */
export interface BurnIns {
  /** What a run would do and what stands against it. Looks, writes nothing. */
  plan(options: BurnInOptions): Promise<BurnInOffer>;
  /** Starts a run and answers with its number; throws a UserError when it is refused. */
  start(options: BurnInOptions): Promise<number>;
  pause(run: number): Promise<void>;
  resume(run: number): Promise<void>;
  stop(run: number): Promise<void>;
  running(): readonly RunningWork[];
  /** Goes on with what was under way when the agent ended, and with drives that are back. */
  resumeInterrupted(): Promise<void>;
  /** Ends the work of this process; every run can be resumed from its journal. */
  close(): Promise<void>;
}

export function createBurnIns(parts: BurnInParts): BurnIns {
  return new Engine(parts);
}

class Engine implements BurnIns {
  private readonly runs = new Map<number, Run>();
  private readonly starting = new Set<string>();
  private readonly boot: number;

  constructor(private readonly parts: BurnInParts) {
    this.boot = parts.store.beginBoot(parts.clock.bootId, parts.clock.wallMs());
  }

  async plan(options: BurnInOptions): Promise<BurnInOffer> {
    const drive = await findDrive(this.parts, options.drive);
    const otherRun = this.openRunOf(drive);
    const seed = this.parts.makeSeed();
    return offerOf(await gatherFacts(this.parts, drive, { options, seed, otherRun }));
  }

  async start(options: BurnInOptions): Promise<number> {
    const drive = await findDrive(this.parts, options.drive);
    if (this.starting.has(drive.identityKey))
      throw badRequest('A burn-in of this drive is starting');
    this.starting.add(drive.identityKey);
    try {
      return await this.startOn(drive, options);
    } finally {
      this.starting.delete(drive.identityKey);
    }
  }

  private async startOn(drive: DriveSeen, options: BurnInOptions): Promise<number> {
    const { parts } = this;
    const seed = parts.makeSeed();
    const otherRun = this.openRunOf(drive);
    const facts = await gatherFacts(parts, drive, { options, seed, otherRun });
    const refusal = refusalError(offerOf(facts).refusals);
    if (refusal !== null) throw refusal;
    const plan = planBurnIn(drive, {
      erases: options.erase,
      consented: (facts.look?.found ?? []).map(({ name }) => name),
      returnIsOpen: parts.returnIsOpen(drive),
    });
    const started = this.now();
    const part =
      parts.store.partByName(drive.id) ??
      parts.store.keepPart(
        {
          kind: 'drive',
          identityKey: drive.identityKey,
          name: drive.id,
          label: drive.model,
          details: { ...drive },
        },
        started,
      );
    const row = parts.store.startBurnIn({
      partId: part.id,
      drive: drive.id,
      erases: options.erase,
      state: 'running',
      started,
      seed,
      plan,
    });
    const names =
      plan.consented.length === 0 ? 'nothing but blank or known' : plan.consented.join(' ');
    parts.store.appendJournal(row.run, this.now(), 'event', {
      event: 'agreed',
      askedFrom: options.askedFrom,
      text: options.erase ? `A person agreed to erase: ${names}` : 'Reading only',
    });
    await this.admit(row, { state: freshRun(plan), drive }).begin();
    return row.run;
  }

  private admit(row: BurnInRow, start: { state: RunState; drive: DriveSeen | null }): Run {
    const run = new Run(this.parts, { run: row.run, seed: row.seed, boot: this.boot, ...start });
    this.runs.set(row.run, run);
    return run;
  }

  private now() {
    return instantNow(this.parts.clock, this.boot);
  }

  private openRunOf(drive: DriveSeen): number | null {
    const open = this.parts.store
      .burnIns()
      .filter((row) => row.state !== 'finished' && row.state !== 'stopped')
      .find((row) => row.drive === drive.id);
    return open?.run ?? null;
  }

  async pause(run: number): Promise<void> {
    const found = this.find(run);
    if (stateWord(found.state) === 'running') await found.push({ event: 'pause' });
  }

  async resume(run: number): Promise<void> {
    const found = this.find(run);
    if (found.drive === null || found.brokenBy !== null) {
      await this.takeUpOrTell(found);
      return;
    }
    if (found.isStuck) {
      throw refused('drive-stuck', 'The drive hangs and its worker could not be ended', {
        hint: 'Switch the box off and on, then resume',
      });
    }
    await found.push({ event: 'resume' });
  }

  private async takeUpOrTell(found: Run): Promise<void> {
    if (found.brokenBy !== null) await found.close();
    await this.takeUp(
      this.rowOf(found.run),
      found.brokenBy === null ? 'look-again' : 'start-again',
    );
    const now = this.runs.get(found.run);
    if (now?.drive !== null) return;
    const why = now.state.interruptedBy?.text ?? 'The drive is not here';
    throw refused('drive-missing', why, { hint: 'Attach the drive, then resume' });
  }

  async stop(run: number): Promise<void> {
    if (this.runs.get(run) === undefined) {
      // A run that cannot be rebuilt can still be put aside, without a verdict.
      const row = this.rowOf(run);
      if (row.state === 'finished' || row.state === 'stopped') this.find(run);
      this.parts.store.updateBurnIn(run, this.now(), 'stopped', null);
      return;
    }
    await this.find(run).push({ event: 'stop' });
  }

  private find(run: number): Run {
    const found = this.runs.get(run);
    if (found !== undefined && !found.isOver) return found;
    throw badRequest(`There is no burn-in ${run} under way`);
  }

  private rowOf(run: number): BurnInRow {
    const row = this.parts.store.burnIns().find((one) => one.run === run);
    if (row === undefined) throw badRequest(`There is no burn-in ${run}`);
    return row;
  }

  running(): readonly RunningWork[] {
    return [...this.runs.values()].filter((run) => !run.isOver).map((run) => run.work());
  }

  async resumeInterrupted(): Promise<void> {
    for (const row of this.parts.store.burnIns()) {
      if (row.state === 'finished' || row.state === 'stopped') continue;
      const known = this.runs.get(row.run);
      if (known === undefined) await this.takeUp(row, 'start-again');
      else if (known.drive === null && !known.isOver) await this.takeUp(row, 'look-again');
    }
  }

  /** Rebuilds a run from its rows, finds its drive again and goes on; or says why it does not. */
  private async takeUp(row: BurnInRow, how: 'start-again' | 'look-again'): Promise<void> {
    const { store } = this.parts;
    const journal = store.journal(row.run);
    const verdict = verdictIn(journal);
    const loaded = loadRun(row, journal);
    if (verdict !== null && loaded.ok) {
      store.updateBurnIn(row.run, this.now(), stateWord(loaded.state), verdict);
      return;
    }
    if (!loaded.ok) {
      store.updateBurnIn(row.run, this.now(), 'interrupted', null);
      return;
    }
    const found = await this.findAgain(loaded.state);
    if (how === 'look-again' && found.drive === null) return;
    const run = this.admit(row, { state: loaded.state, drive: found.drive });
    const after = loaded.lastBoot === this.boot ? 'end-of-agent' : 'power-cut';
    const orderly = loaded.state.agentStopped || how === 'look-again' ? 'stop-of-agent' : after;
    await run.push({ event: 'restarted', after: orderly });
    if (found.why !== null) await run.push({ event: 'missing', text: found.why });
    await run.begin();
  }

  private async findAgain(
    state: RunState,
  ): Promise<{ readonly drive: DriveSeen | null; readonly why: string | null }> {
    const { plan } = state;
    const drives = await this.parts.listDrives();
    const byPath = plan.drive.devicePath;
    const drive =
      byPath === null
        ? drives.find((one) => one.identityKey === plan.drive.identityKey)
        : await this.parts.driveAtPath(byPath);
    if (drive === undefined || drive === null) return { drive: null, why: 'The drive is not here' };
    const differs = driveDiffers(plan, drive);
    if (differs !== null) return { drive: null, why: differs };
    if (drive.duplicateIdentity) {
      return { drive: null, why: 'Another drive has the same serial number or world-wide name' };
    }
    if (this.parts.holdsData(drive)) {
      return { drive: null, why: 'The model file says that this drive holds data' };
    }
    if (!canProveSame(state, drive)) {
      return { drive: null, why: 'Nothing shows that this is the same virtual disk as before' };
    }
    return { drive, why: null };
  }

  async close(): Promise<void> {
    await Promise.all([...this.runs.values()].map((run) => run.close()));
  }
}

function refused(code: string, text: string, more: { readonly hint: string }): UserError {
  return new UserError(code, text, { exitCode: exitCodes.refusedForSafety, ...more });
}

function badRequest(text: string): UserError {
  return new UserError('bad-request', text, { exitCode: exitCodes.badInput });
}
