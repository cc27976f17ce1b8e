import type { BurnInState, BurnInVerdict } from '../../checks/burn-in-result.js';
import type { Capture } from '../../checks/capture.js';
import type { Finding, FindingChange } from '../../checks/finding.js';
import type { Reading } from '../../checks/reading.js';
import type { SpeedResult } from '../../checks/speed-result.js';
import type {
  BootRow,
  BurnInRow,
  ControllerLogMark,
  EventRow,
  EventsToKeep,
  Instant,
  JobRow,
  JournalRow,
  LatestReading,
  NewestPage,
  PartRow,
  PartToKeep,
  RawPageRow,
  ReadingRow,
  SeriesRow,
  SpeedRow,
} from './rows.js';

/** Reading side: what web, status and the judge may ask. Never writes, never creates a file. */
export interface StoreReader {
  /** False when the store was opened without a living or killed writer beside it. */
  readonly writerPresent: boolean;
  boots(): readonly BootRow[];
  parts(): readonly PartRow[];
  partByName(name: string): PartRow | null;
  /** Newest row of each series of a part. */
  latest(partId: number): readonly LatestReading[];
  series(partId: number, metric: string): readonly SeriesRow[];
  /** Rows of one series from `fromWallMs` on, in order of boot and monoMs. */
  readings(seriesId: number, fromWallMs: number): readonly ReadingRow[];
  findings(state: 'open' | 'cleared' | 'all'): readonly Finding[];
  speeds(partId: number): readonly SpeedRow[];
  burnIns(): readonly BurnInRow[];
  journal(run: number): readonly JournalRow[];
  rawPages(partId: number): readonly RawPageRow[];
  /** The newest bytes of each record of a drive, each with the moment of its own. */
  newestPages(partId: number): readonly NewestPage[];
  jobs(): readonly JobRow[];
  /** Newest first: those of one part, or of the whole box when `partId` is null. */
  events(partId: number | null, countMax: number): readonly EventRow[];
  /** Number of the newest kernel log record of a boot that was looked at; -1 when none was. */
  logReadTo(boot: number): number;
  /** How far the log of a board's controller was read, in whichever boot; null when never. */
  controllerLog(identityKey: string): ControllerLogMark | null;
  close(): void;
}

/** Writing side: the agent alone. Each call is one transaction, never awaited inside. */
export interface StoreWriter extends StoreReader {
  /** Number of the boot with this id; the same id gives the same number. */
  beginBoot(bootId: string, wallMs: number): number;
  markWallTrust(boot: number, trusted: boolean): void;
  /** Makes one transaction of the calls that `work` makes; never awaited inside either. */
  together<T>(work: () => T): T;
  keepPart(part: PartToKeep, at: Instant): PartRow;
  /** Since which look the part is gone, or null when it is there. */
  markGone(identityKey: string, since: Instant | null): void;
  keepReadings(partId: number, at: Instant, readings: readonly Reading[]): void;
  keepRawPages(partId: number, at: Instant, reason: string, capture: Capture): void;
  /** Puts the bytes of each record in the place of those that were kept of it before. */
  keepNewestPages(partId: number, at: Instant, capture: Capture): void;
  nextSpeedRun(): number;
  keepSpeed(partId: number, at: Instant, result: SpeedResult): void;
  startBurnIn(row: Omit<BurnInRow, 'run' | 'updated' | 'verdict'>): BurnInRow;
  updateBurnIn(run: number, at: Instant, state: BurnInState, verdict: BurnInVerdict | null): void;
  /** Durable when it returns (synchronous=FULL): a child may act on an intent after this. */
  appendJournal(run: number, at: Instant, kind: JournalRow['kind'], body: object): number;
  keepFindings(at: Instant, changes: readonly FindingChange[]): void;
  acknowledgeFinding(id: number): boolean;
  /** A person says that the cause is dealt with; that they have seen it, too. */
  accountForFinding(id: number): boolean;
  jobRan(job: JobRow): void;
  keepEvents(at: Instant, events: EventsToKeep): void;
  /** Thins gauges (30 days raw, 2 years hourly, then daily); returns rows removed. */
  thin(nowWallMs: number): number;
}
