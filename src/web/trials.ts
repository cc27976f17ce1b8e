import { z } from 'zod';
import type { BurnInRow, JournalRow } from '../agent/store/rows.js';
import { type BurnInStage, burnInStages, type PlaceErrorKind } from '../checks/burn-in-result.js';
import type { RunningWork } from '../checks/request.js';
import { errorKindWords } from './words.js';

export interface TrialStage {
  readonly stage: BurnInStage;
  readonly standing: 'done' | 'now' | 'to come' | 'not part of this run' | 'not reached';
}

export interface ErrorsOfKind {
  readonly kind: PlaceErrorKind;
  readonly count: number;
  /** The first few block addresses, in the order in which they were found. */
  readonly firstLbas: readonly number[];
}

/** One burn-in as the page shows it: what is stored, joined with what the agent says now. */
export interface Trial {
  readonly row: BurnInRow;
  /** Null when the agent is not at work on it at this moment. */
  readonly live: RunningWork | null;
  readonly stages: readonly TrialStage[];
  readonly errors: readonly ErrorsOfKind[];
  readonly errorCount: number;
}

const lbasShownMax = 8;
const eventBody = z.object({
  stage: z.enum(burnInStages).optional(),
  errors: z
    .array(
      z.object({
        lba: z.number(),
        kind: z.enum(Object.keys(errorKindWords) as [PlaceErrorKind, ...PlaceErrorKind[]]),
      }),
    )
    .optional(),
});

/**
 * Joins a burn-in with its journal and the running work. Journal bodies of another shape are left
 * out, never guessed at. Pure; never throws.
 */
export function trialOf(
  row: BurnInRow,
  journal: readonly JournalRow[],
  running: readonly RunningWork[],
): Trial {
  const live = running.find((work) => work.kind === 'burn-in' && work.run === row.run) ?? null;
  const found = errorsByKind(journal);
  return {
    row,
    live,
    stages: stagesOf(row, live, reachedStage(journal)),
    errors: found,
    errorCount: found.reduce((sum, one) => sum + one.count, 0),
  };
}

/** Share of the whole run that is done, 0 to 1, or null when the agent does not tell. */
export function doneShare(work: RunningWork | null): number | null {
  if (work === null || work.totalBytes <= 0) return null;
  return Math.min(1, Math.max(0, work.doneBytes / work.totalBytes));
}

function reachedStage(journal: readonly JournalRow[]): BurnInStage | null {
  for (const entry of [...journal].reverse()) {
    const body = eventBody.safeParse(entry.body);
    if (body.success && body.data.stage !== undefined) return body.data.stage;
  }
  return null;
}

function stagesOf(
  row: BurnInRow,
  live: RunningWork | null,
  reached: BurnInStage | null,
): readonly TrialStage[] {
  const liveStage = burnInStages.find((stage) => stage === live?.stage);
  const current = liveStage ?? reached;
  const at = current === null ? -1 : burnInStages.indexOf(current);
  const ended = row.state === 'finished' || row.state === 'stopped';
  return burnInStages.map((stage, index) => {
    const writing = stage === 'stamped-write' || stage === 'verify';
    if (writing && !row.erases) return { stage, standing: 'not part of this run' };
    if (row.state === 'finished' && index <= at) return { stage, standing: 'done' };
    if (index < at) return { stage, standing: 'done' };
    if (ended) return { stage, standing: 'not reached' };
    return { stage, standing: index === at ? 'now' : 'to come' };
  });
}

function errorsByKind(journal: readonly JournalRow[]): readonly ErrorsOfKind[] {
  const places = new Map<PlaceErrorKind, Set<number>>();
  for (const entry of journal) {
    const body = eventBody.safeParse(entry.body);
    if (!body.success) continue;
    for (const { kind, lba } of body.data.errors ?? []) {
      const lbas = places.get(kind) ?? new Set<number>();
      places.set(kind, lbas.add(lba));
    }
  }
  return [...places].map(([kind, lbas]) => ({
    kind,
    count: lbas.size,
    firstLbas: [...lbas].slice(0, lbasShownMax),
  }));
}
