/** The jobs of the agent, most urgent first. Pure. Periods are our choice unless a source stands
 * beside them. */

import { driveHealthPeriodMs, surroundingsPeriodMs } from '../../checks/periods.js';

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;
const dayMs = 24 * hourMs;

export type JobName =
  | 'inventory'
  | 'surroundings'
  | 'management'
  | 'temperatures'
  | 'drive-health'
  | 'drive-rare-logs'
  | 'judge'
  | 'thin'
  | 'speed-drive';

export interface JobRule {
  readonly name: JobName;
  /** One job for each drive, or one for the box. */
  readonly perDrive: boolean;
  /** Due after this much calendar time … */
  readonly everyMs: number;
  /** … or after this much powered-on time, whichever comes first; null: calendar alone. */
  readonly everyPoweredMs: number | null;
  /** Also due once after each boot. */
  readonly eachBoot: boolean;
  /** Not before this long after boot … */
  readonly afterBootMs: number;
  /** … and spread over this long after that, each job and boot at its own moment. */
  readonly spreadMs: number;
  /**
   * Real work for a drive: only while the box is idle, no array is degraded, rebuilding or being
   * checked, and no burn-in runs; one at a time.
   */
  readonly heavy: boolean;
  /**
   * Whether each run is stored. What runs every few minutes is stored when its outcome is another
   * than the last time: a restart begins with it, and that costs less than a page of the store for
   * each run.
   */
  readonly recorded: boolean;
  /** Due when one of these ran since, instead of by time. */
  readonly after: readonly JobName[];
}

const light = {
  perDrive: false,
  everyPoweredMs: null,
  eachBoot: false,
  afterBootMs: 0,
  spreadMs: 0,
  heavy: false,
  recorded: true,
  after: [],
} as const;

/** A job that failed or was put off is tried again after this long, or its period if shorter. */
export const retryMs = hourMs;

export const standardJobs: readonly JobRule[] = [
  { ...light, name: 'inventory', everyMs: dayMs, eachBoot: true },
  { ...light, recorded: false, name: 'surroundings', everyMs: surroundingsPeriodMs },
  // A board's controller answers slowly, and what it watches turns slowly.
  { ...light, recorded: false, name: 'management', everyMs: 10 * minuteMs },
  { ...light, recorded: false, name: 'temperatures', everyMs: 5 * minuteMs },
  {
    ...light,
    name: 'drive-health',
    everyMs: driveHealthPeriodMs,
    eachBoot: true,
    afterBootMs: 10 * minuteMs,
    spreadMs: minuteMs,
    perDrive: true,
  },
  {
    ...light,
    name: 'judge',
    recorded: false,
    everyMs: dayMs,
    after: ['inventory', 'surroundings', 'drive-health', 'drive-rare-logs', 'speed-drive'],
  },
  { ...light, name: 'thin', everyMs: dayMs, afterBootMs: 10 * minuteMs, spreadMs: 10 * minuteMs },
  {
    ...light,
    name: 'drive-rare-logs',
    everyMs: Number.POSITIVE_INFINITY,
    eachBoot: true,
    afterBootMs: 10 * minuteMs,
    spreadMs: 10 * minuteMs,
    perDrive: true,
    heavy: true,
  },
  {
    ...light,
    name: 'speed-drive',
    everyMs: 30 * dayMs,
    everyPoweredMs: 200 * hourMs,
    afterBootMs: 10 * minuteMs,
    spreadMs: 10 * minuteMs,
    perDrive: true,
    heavy: true,
  },
];

/** Name of a job in the store: the job, and the drive that it is for. */
export function jobKey(name: JobName, drive: string | null): string {
  return drive === null ? name : `${name}:${drive}`;
}
