/** Shapes of the rows of each table as the queries name their columns. */
import { z } from 'zod';
import type { Advice, BurnInState } from '../../checks/burn-in-result.js';
import { type CommandSet, recordNames } from '../../checks/capture.js';
import { eventKinds } from '../../checks/event.js';
import {
  clearedWhys,
  type FindingState,
  type Outcome,
  type Urgency,
} from '../../checks/finding.js';
import type { PartKind } from '../../checks/part.js';
import type { JournalRow } from './rows.js';
import { anyObject, flag, jsonOf, unitNames, whole } from './rows-decode.js';

/** The record makes the compiler refuse a list that misses a member of its type. */
function oneOf<T extends string>(names: Readonly<Record<T, true>>): z.ZodType<T> {
  return z.custom<T>((value) => typeof value === 'string' && Object.hasOwn(names, value), {
    message: `expected one of ${Object.keys(names).join(', ')}`,
  });
}

const unit = oneOf(unitNames);

const at = { boot: whole, monoMs: whole, wallMs: whole };

export const bootSchema = z.object({
  id: whole,
  bootId: z.string(),
  startedWall: whole,
  wallTrusted: flag,
  lastMonoMs: whole,
  lastWallMs: whole,
});

export const partSchema = z.object({
  id: whole,
  kind: oneOf<PartKind>({
    drive: true,
    'disk-controller': true,
    'network-card': true,
    slot: true,
    'sensor-chip': true,
    memory: true,
    processor: true,
    array: true,
    'management-controller': true,
    box: true,
  }),
  identityKey: z.string(),
  name: z.string(),
  label: z.string(),
  details: jsonOf(anyObject),
  firstBoot: whole,
  firstWallMs: whole,
  ...at,
  goneBoot: whole.nullable(),
  goneMonoMs: whole.nullable(),
  goneWallMs: whole.nullable(),
});

export const eventSchema = z.object({
  id: whole,
  partId: whole.nullable(),
  kind: z.enum(eventKinds),
  positionBytes: whole.nullable(),
  text: z.string(),
  record: z.string(),
  ...at,
});

export const controllerLogSchema = z.object({
  entryId: whole.nullable(),
  record: z.string(),
  lastAddition: whole.nullable(),
  lastErase: whole.nullable(),
  entries: whole,
});

export const seriesSchema = z.object({
  id: whole,
  partId: whole,
  metric: z.string(),
  place: z.string(),
  unit,
  source: z.string(),
});

export const speedSchema = z.object({
  id: whole,
  partId: whole,
  ...at,
  run: whole,
  path: z.string(),
  direction: z.enum(['read', 'write']),
  streams: whole,
  place: whole.nullable(),
  bytesPerSecond: z.number().nullable(),
  low: z.number().nullable(),
  high: z.number().nullable(),
  seconds: z.number(),
  conditions: jsonOf(
    z.looseObject({
      temperature: z.number().nullable(),
      otherLoad: z.number().nullable(),
      linkSpeed: z.string().nullable(),
      lanes: z.number().nullable(),
    }),
  ),
  complete: flag,
  reason: z.string().nullable(),
  limit: jsonOf(z.looseObject({ part: z.string(), evidence: z.string() })).nullable(),
  verdict: oneOf<Outcome>({ met: true, short: true, unknown: true }),
});

const verdict = z.looseObject({
  advice: oneOf<Advice>({
    keep: true,
    'keep-check-again': true,
    return: true,
    replace: true,
    'not-fully-tested': true,
  }),
  reasons: z.array(
    z.looseObject({
      code: z.string(),
      measured: z.number().nullable(),
      expected: z.number().nullable(),
      source: z.string(),
    }),
  ),
  proven: z.array(z.string()),
  notProven: z.array(z.string()),
  skipped: z.array(z.string()),
});

export const burnInSchema = z.object({
  run: whole,
  partId: whole,
  drive: z.string(),
  erases: flag,
  state: oneOf<BurnInState>({
    planned: true,
    running: true,
    paused: true,
    stopped: true,
    interrupted: true,
    finished: true,
  }),
  seed: z.string(),
  plan: jsonOf(anyObject),
  verdict: jsonOf(verdict).nullable(),
  startedBoot: whole,
  startedMonoMs: whole,
  startedWallMs: whole,
  updatedBoot: whole,
  updatedMonoMs: whole,
  updatedWallMs: whole,
});

export const journalSchema = z.object({
  entry: whole,
  run: whole,
  kind: oneOf<JournalRow['kind']>({
    intent: true,
    progress: true,
    result: true,
    event: true,
  }),
  ...at,
  body: jsonOf(anyObject),
});

export const findingSchema = z.object({
  id: whole,
  code: z.string(),
  subject: z.string(),
  place: z.string(),
  state: oneOf<FindingState>({ open: true, cleared: true }),
  urgency: oneOf<Urgency>({ today: true, soon: true, 'for-the-record': true }),
  measured: z.number().nullable(),
  expected: z.number().nullable(),
  unit,
  source: z.string(),
  evidence: jsonOf(
    z.array(
      z.looseObject({
        label: z.string(),
        value: z.number().nullable(),
        unit,
        boot: whole,
        monoMs: z.number(),
      }),
    ),
  ),
  nextStep: z.string(),
  openedBoot: whole,
  openedMonoMs: whole,
  openedWallMs: whole,
  clearedBoot: whole.nullable(),
  clearedWallMs: whole.nullable(),
  clearedWhy: z.enum(clearedWhys).nullable(),
  acknowledged: flag,
  accountedFor: flag,
});

export const rawPageSchema = z.object({
  sha256: z.string(),
  partId: whole,
  ...at,
  reason: z.string(),
  record: z.enum(recordNames),
  log: whole.nullable(),
  subpage: whole.nullable(),
  page: whole.nullable(),
  nsid: whole.nullable(),
  failed: z.string().nullable(),
  data: z.instanceof(Uint8Array),
});

export const newestPageSchema = z.object({
  record: z.enum(recordNames),
  log: whole,
  subpage: whole,
  page: whole,
  nsid: whole,
  ...at,
  commandSet: oneOf<CommandSet>({ ata: true, nvme: true, scsi: true }),
  sha256: z.string(),
  data: z.instanceof(Uint8Array),
});

export const jobSchema = z.object({
  job: z.string(),
  lastBoot: whole,
  lastMonoMs: whole,
  lastWallMs: whole,
  lastPoweredMs: whole,
  outcome: z.string(),
});
