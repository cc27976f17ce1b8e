import { expectationsOf } from '../checks/check-input.js';
import type { DriveClass } from '../checks/model/classes.js';
import type { BoxModel } from '../checks/model/parse.js';
import type { DriveSeen } from '../checks/part.js';
import type { AgentStatus } from '../checks/request.js';
import type { Box } from './box/box.js';
import { type BurnIns, createBurnIns } from './burn-in/engine.js';
import type { Clock } from './clock.js';
import type { RequestHandler } from './control.js';
import { requestHandler } from './handlers.js';
import { instantNow } from './instant.js';
import { judgeAll } from './judging.js';
import { driveInUse } from './probes/in-use.js';
import { driveAtPath } from './probes/inventory.js';
import { Sampler } from './sampling.js';
import type { JobName } from './schedule/jobs.js';
import { atNextTick, type JobWork, type RunningLoop, runLoop } from './schedule/loop.js';
import type { TickSource } from './schedule/tick.js';
import { situationOf } from './situation.js';
import { SpeedRuns } from './speed/speed-runs.js';
import { TogetherRuns } from './speed/together-runs.js';
import type { PartRow } from './store/rows.js';
import type { StoreWriter } from './store/store.js';
import type { StartWorker } from './workers/worker.js';

/**
 * Everything that the agent is made of; the real ones are made in main, simulated ones in tests.
 */
export interface AgentParts {
  readonly box: Box;
  readonly clock: Clock;
  readonly store: StoreWriter;
  readonly model: BoxModel | null;
  readonly modelFile: string;
  readonly classes: readonly DriveClass[];
  readonly startWorker: StartWorker;
  readonly tick: TickSource;
  readonly version: string;
  /** What this process cannot do, each with how to get it. */
  readonly limits: readonly string[];
  readonly makeSeed: () => string;
  readonly say: (line: string) => void;
}

export interface Agent {
  readonly handle: RequestHandler;
  readonly sampler: Sampler;
  readonly burnIns: BurnIns;
  readonly speeds: SpeedRuns;
  readonly together: TogetherRuns;
  /** One round of everything that is read and judged, whether due or not. */
  round(): Promise<void>;
  /** Starts the schedule and goes on with interrupted burn-ins. */
  begin(): Promise<void>;
  stop(): Promise<void>;
}

/** Puts the agent together. Nothing runs before `begin`. */
export async function assembleAgent(parts: AgentParts): Promise<Agent> {
  const boot = parts.store.beginBoot(parts.clock.bootId, parts.clock.wallMs());
  const sampler = new Sampler({ ...parts, boot });
  await sampler.survey();
  const now = () => instantNow(parts.clock, boot);
  const burnIns = burnInsOf(parts, sampler);
  const { speeds, together } = speedsOf(parts, burnIns);
  const known = new Map();
  const judgeNow = async () => {
    for (const { code, subject } of judgeAll({ ...parts, known }, now())) {
      const drive = sampler.inventory.drives.find(({ id }) => id === subject);
      if (drive !== undefined) await sampler.driveHealth(drive, { rawReason: `finding ${code}` });
    }
  };
  const startLoop = () =>
    runLoop({
      ...parts,
      tick: (onTick) =>
        parts.tick(async () => {
          await sampler.readLog().catch((error) => parts.say(`kernel log: ${String(error)}`));
          await onTick();
        }),
      boot,
      situation: () => situationOf({ ...parts, sampler, burnIns }),
      jobs: jobsOf(parts, { sampler, speeds, judgeNow }),
      onProblem: (job, error) => parts.say(`${job}: ${String(error)}`),
    });
  let loop: RunningLoop | null = null;
  return {
    sampler,
    burnIns,
    speeds,
    together,
    handle: requestHandler({
      ...parts,
      burnIns,
      speeds,
      together,
      drives: () => sampler.inventory.drives,
      status: () => statusOf(parts, { boot, sampler, burnIns, speeds, together }),
    }),
    round: async () => {
      await sampler.surroundings();
      await sampler.management();
      for (const drive of sampler.inventory.drives) await sampler.driveHealth(drive);
      await judgeNow();
    },
    begin: async () => {
      loop = startLoop();
      await burnIns.resumeInterrupted();
    },
    stop: async () => {
      await Promise.all([loop?.stop(), speeds.close(), together.close(), burnIns.close()]);
    },
  };
}

function burnInsOf(parts: AgentParts, sampler: Sampler): BurnIns {
  const modelOf = (drive: DriveSeen) =>
    parts.model?.drives.find(({ serial }) => serial === drive.serial);
  return createBurnIns({
    ...parts,
    takeReadings: async (drive, when) => {
      const rawReason = when === 'during' ? null : `burn-in, ${when}`;
      return (await sampler.driveHealth(drive, { rawReason, mayWake: true }))?.readings ?? [];
    },
    listDrives: async () => {
      await sampler.survey();
      return sampler.inventory.drives;
    },
    driveAtPath: async (path) => {
      const found = await driveAtPath(parts.box, path);
      return found.ok ? found.value : null;
    },
    inUse: (drive) => driveInUse(parts.box, drive),
    holdsData: (drive) => modelOf(drive)?.holdsData === true,
    pageMayErase: () => parts.model?.box.burnInFromPage === true,
    returnIsOpen: (drive) => {
      const day = modelOf(drive)?.returnBy;
      return day === undefined ? null : parts.clock.wallMs() <= Date.parse(`${day}T23:59:59Z`);
    },
  });
}

/** Measurements give way to burn-ins and to each other: one of them reads a drive at a time. */
function speedsOf(parts: AgentParts, burnIns: BurnIns) {
  const nothing = { unknown: 'Nothing is known about the drive' };
  const expectedAt = (part: PartRow, fraction: number) =>
    expectationsOf(part, parts).speedAt?.(fraction) ?? nothing;
  const isTested = ({ id }: DriveSeen) => burnIns.running().some(({ drive }) => drive === id);
  const together: TogetherRuns = new TogetherRuns({
    ...parts,
    isBusy: (drive) => isTested(drive) || speeds.running().some((work) => work.drive === drive.id),
    expectedLow: (serial) => {
      const part = parts.store.partByName(serial);
      const expected = part === null ? nothing : expectedAt(part, 0);
      return 'unknown' in expected ? null : expected.low;
    },
  });
  const speeds: SpeedRuns = new SpeedRuns({
    ...parts,
    isBusy: (drive) => isTested(drive) || together.uses(drive.id),
    expectedAt,
  });
  return { speeds, together };
}

interface Doers {
  readonly sampler: Sampler;
  readonly speeds: SpeedRuns;
  readonly judgeNow: () => Promise<void>;
}

function jobsOf(parts: AgentParts, { sampler, speeds, judgeNow }: Doers): Record<JobName, JobWork> {
  const driveOf = (name: string | null) =>
    sampler.inventory.drives.find(({ id }) => id === name) ?? null;
  return {
    inventory: async () => {
      await sampler.survey();
      return null;
    },
    surroundings: async () => {
      await sampler.surroundings();
      return null;
    },
    management: () => sampler.management(),
    'drive-health': async (name) => {
      const drive = driveOf(name);
      if (drive === null) return 'The drive is not there';
      const read = await sampler.driveHealth(drive);
      if (read === null) return atNextTick;
      return read.whyNot ?? (read.secondLook ? 'A figure moved: it is read again soon' : null);
    },
    temperatures: async () => {
      await sampler.temperatures();
      return null;
    },
    'drive-rare-logs': async (name) => {
      const drive = driveOf(name);
      return drive === null ? 'The drive is not there' : sampler.rareLogs(drive);
    },
    'speed-drive': async (name, stopping) => {
      const drive = driveOf(name);
      if (drive === null) return 'The drive is not there';
      const { done } = await speeds.start(drive, { wake: false });
      stopping.addEventListener('abort', () => void speeds.close());
      const results = await done;
      return results.every(({ complete }) => complete) ? null : 'Not every place was measured';
    },
    judge: async () => {
      await judgeNow();
      return null;
    },
    thin: async () => {
      parts.store.thin(parts.clock.wallMs());
      return null;
    },
  };
}

interface StatusParts {
  readonly boot: number;
  readonly sampler: Sampler;
  readonly burnIns: BurnIns;
  readonly speeds: SpeedRuns;
  readonly together: TogetherRuns;
}

function statusOf(parts: AgentParts, { boot, sampler, ...work }: StatusParts): AgentStatus {
  return {
    version: parts.version,
    processId: process.pid,
    boot,
    bootMs: parts.clock.bootMs(),
    wallMs: parts.clock.wallMs(),
    running: [work.burnIns, work.speeds, work.together].flatMap((one) => one.running()),
    limits: parts.limits,
    inventoryRemarks: sampler.remarks,
    modelFile: parts.model === null ? null : parts.modelFile,
    machine: sampler.inventory.machine,
    emptyWhy: sampler.emptyWhy,
  };
}
