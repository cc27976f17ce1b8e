import type { BurnInStore } from '../../../src/agent/burn-in/engine-parts.js';
import type {
  BurnInRow,
  Instant,
  JournalRow,
  PartRow,
  PartToKeep,
} from '../../../src/agent/store/rows.js';

/** Thrown in place of a power cut: nothing after this append happens in this process. */
export class Cut extends Error {}

/** The rows that burn-ins use, kept in memory, with a cut that tests set. */
export class MemoryStore implements BurnInStore {
  readonly rows: BurnInRow[] = [];
  readonly entries: JournalRow[] = [];
  readonly parts: PartRow[] = [];
  readonly boots: string[] = [];
  /** The append with this number (from 1) fails: before it is kept, or just after. */
  cutAt: { append: number; keeps: boolean } | null = null;
  appends = 0;
  private isCut = false;

  /** The same rows seen by the next process. */
  restart(): void {
    this.isCut = false;
    this.cutAt = null;
  }

  private alive(): void {
    if (this.isCut) throw new Cut('The process has ended');
  }

  beginBoot(bootId: string): number {
    if (!this.boots.includes(bootId)) this.boots.push(bootId);
    return this.boots.indexOf(bootId) + 1;
  }

  partByName(name: string): PartRow | null {
    return this.parts.find((part) => part.name === name) ?? null;
  }

  keepPart(part: PartToKeep, at: Instant): PartRow {
    const row: PartRow = {
      ...part,
      id: this.parts.length + 1,
      firstBoot: at.boot,
      firstWallMs: at.wallMs,
      lastSeen: at,
    };
    this.parts.push(row);
    return row;
  }

  burnIns(): readonly BurnInRow[] {
    return this.rows;
  }

  startBurnIn(row: Omit<BurnInRow, 'run' | 'updated' | 'verdict'>): BurnInRow {
    this.alive();
    const plan = JSON.parse(JSON.stringify(row.plan));
    const kept = { ...row, plan, run: this.rows.length + 1, updated: row.started, verdict: null };
    this.rows.push(kept);
    return kept;
  }

  updateBurnIn(
    run: number,
    at: Instant,
    state: BurnInRow['state'],
    verdict: BurnInRow['verdict'],
  ): void {
    this.alive();
    const index = this.rows.findIndex((row) => row.run === run);
    const row = this.rows[index]!;
    this.rows[index] = { ...row, state, updated: at, verdict: verdict ?? row.verdict };
  }

  journal(run: number): readonly JournalRow[] {
    return this.entries.filter((entry) => entry.run === run);
  }

  appendJournal(run: number, at: Instant, kind: JournalRow['kind'], body: object): number {
    this.alive();
    this.appends += 1;
    const isHere = this.cutAt?.append === this.appends;
    if (isHere) this.isCut = true;
    if (isHere && !this.cutAt?.keeps) throw new Cut('The power went before this row');
    const entry = this.entries.length + 1;
    this.entries.push({ entry, run, kind, at, body: JSON.parse(JSON.stringify(body)) });
    if (isHere) throw new Cut('The power went after this row');
    return entry;
  }
}
