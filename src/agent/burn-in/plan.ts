import { z } from 'zod';
import { type BurnInStage, burnInStages } from '../../checks/burn-in-result.js';
import type { DriveSeen } from '../../checks/part.js';
import { fillingBytes } from './pattern.js';

/**
 * What a run will do, kept with the run so that it can be resumed from the store alone. The drive
 * is written down as it was when a person agreed: a resumed run must find the same one again.
 */
const planShape = z.object({
  version: z.literal(1),
  erases: z.boolean(),
  stages: z.array(z.enum(burnInStages)),
  drive: z.object({
    id: z.string(),
    identityKey: z.string(),
    model: z.string(),
    serial: z.string(),
    sizeBytes: z.number(),
    logicalBlockBytes: z.number(),
    reachedBy: z.enum(['ata', 'scsi', 'nvme', 'usb', 'virtual']),
    diskSequence: z.string().nullable(),
    /** Only where nothing else names the drive: a virtual one without a serial. */
    devicePath: z.string().nullable(),
  }),
  blockBytes: z.number(),
  stretchBytes: z.number(),
  pass: z.number(),
  consented: z.array(z.string()),
  returnIsOpen: z.boolean().nullable(),
});

export type BurnInPlan = Readonly<z.infer<typeof planShape>>;

const mebibyte = 1024 * 1024;
const blockBytesMax = 4 * mebibyte;
const stretchBytesMax = 1024 * mebibyte;

/** A stage is cut into at least this many stretches, so that small drives resume finely too. */
const stretchesMin = 64;

const readOnlyStages: readonly BurnInStage[] = ['readings-before', 'full-read', 'readings-after'];

export interface PlanOptions {
  readonly erases: boolean;
  readonly consented: readonly string[];
  readonly returnIsOpen: boolean | null;
}

/** Lays out a run. Reading every sector comes before anything is overwritten. Never throws. */
export function planBurnIn(drive: DriveSeen, options: PlanOptions): BurnInPlan {
  const stretchBytes = stretchFor(drive);
  return {
    version: 1,
    erases: options.erases,
    stages: options.erases ? [...burnInStages] : [...readOnlyStages],
    drive: {
      id: drive.id,
      identityKey: drive.identityKey,
      model: drive.model,
      serial: drive.serial,
      sizeBytes: drive.capacityBytes,
      logicalBlockBytes: drive.logicalBlockBytes,
      reachedBy: drive.reachedBy,
      diskSequence: drive.diskSequence,
      devicePath: drive.serial === '' ? drive.devicePath : null,
    },
    blockBytes: Math.min(blockBytesMax, stretchBytes),
    stretchBytes,
    pass: 1,
    consented: [...options.consented],
    returnIsOpen: options.returnIsOpen,
  };
}

/** A power of two from 256 KiB (or one sector) to 1 GiB, about a 64th of the drive. */
function stretchFor(drive: DriveSeen): number {
  const wanted = drive.capacityBytes / stretchesMin;
  let bytes = Math.max(fillingBytes / 4, drive.logicalBlockBytes);
  while (bytes * 2 <= wanted && bytes < stretchBytesMax) bytes *= 2;
  return bytes;
}

/** A plan read back from the store, or null when it is none that this version understands. */
export function decodePlan(stored: unknown): BurnInPlan | null {
  const decoded = planShape.safeParse(stored);
  return decoded.success ? decoded.data : null;
}

/** Bytes that all stages of the run move together. */
export function plannedBytes(plan: BurnInPlan): number {
  const moving = plan.stages.filter((stage) => !stage.startsWith('readings-'));
  return moving.length * plan.drive.sizeBytes;
}

/**
 * Seconds that the run is expected to take before anything is measured: whole-surface averages of
 * 180 MB/s for turning drives and 400 MB/s for others (common practice, no source).
 */
export function expectedSeconds(plan: BurnInPlan, rotating: boolean | null): number {
  return plannedBytes(plan) / (rotating === false ? 400e6 : 180e6);
}
