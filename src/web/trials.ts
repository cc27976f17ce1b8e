import { z } from 'zod';
import type { BurnInRow, JournalRow } from '../agent/store/rows.js';
import {
  type BurnInStage,
  burnInStages,
  type PlaceErrorKind,
  placeErrorKinds,
} from '../checks/burn-in-result.js';
import type { RunningWork } from '../checks/request.js';

export interface TrialStage {
  readonly stage: BurnInStage;
  readonly standing:
    | 'done'
    | 'now'
    | 'to come'
    | 'not part of this run'
    | 'done in part'
    | 'not reached';
}

export interface ErrorsOfKind {
  readonly kind: PlaceErrorKind;
  readonly count: number;
  /** The first few block addresses, in the order in which they were found. */
  readonly firstLbas: readonly number[];
}

/** Something that changed the course of a run, such as a pause, in the agent's own sentence. */
export interface Happening {
  readonly wallMs: number;
  readonly text: string;
}

/** One burn-in as the page shows it: what is stored, joined with what the agent says now. */
export interface Trial {
  readonly row: BurnInRow;
  /** Null when the agent is not at work on it at this moment. */
  readonly live: RunningWork | null;
  readonly stages: readonly TrialStage[];
  readonly errors: readonly ErrorsOfKind[];
  readonly errorCount: number;
  readonly happenings: readonly Happening[];
}

const lbasShownMax = 8;
const happeningsShownMax = 12;

const foundBody = z.object({
  stage: z.enum(burnInStages).optional(),
  unlisted: z.record(z.string(), z.number()).optional(),
  errors: z
    .array(
      z.object({
        lba: z.number(),
        kind: z.enum(placeErrorKinds),
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
    stages: stagesOf(row, live, journal),
    errors: found,
    errorCount: found.reduce((sum, one) => sum + one.count, 0),
    happenings: happenings(journal),
  };
}

/** Share of the whole run that is done, 0 to 1, or null when the agent does not tell. */
export function doneShare(work: RunningWork | null): number | null {
  if (work === null || work.totalBytes <= 0) return null;
  return Math.min(1, Math.max(0, work.doneBytes / work.totalBytes));
}

/** Stages of which the journal tells anything, in the order in which it does. */
function stagesIn(journal: readonly JournalRow[]): readonly BurnInStage[] {
  return journal.flatMap(({ body }) => {
    const found = foundBody.safeParse(body);
    return found.success && found.data.stage !== undefined ? [found.data.stage] : [];
  });
}

/** A stage is done when the journal has its result; one that was only begun is done in part. */
function stagesOf(
  row: BurnInRow,
  live: RunningWork | null,
  journal: readonly JournalRow[],
): readonly TrialStage[] {
  const done = stagesIn(journal.filter(({ kind }) => kind === 'result'));
  const begun = stagesIn(journal);
  const liveStage = burnInStages.find((stage) => stage === live?.stage) ?? begun.at(-1);
  const at = liveStage === undefined ? -1 : burnInStages.indexOf(liveStage);
  const ended = row.state === 'finished' || row.state === 'stopped';
  return burnInStages.map((stage, index) => {
    const writing = stage === 'stamped-write' || stage === 'verify';
    if (writing && !row.erases) return { stage, standing: 'not part of this run' };
    if (done.includes(stage)) return { stage, standing: 'done' };
    if (ended) return { stage, standing: begun.includes(stage) ? 'done in part' : 'not reached' };
    if (index < at) return { stage, standing: 'done' };
    return { stage, standing: index === at ? 'now' : 'to come' };
  });
}

function errorsByKind(journal: readonly JournalRow[]): readonly ErrorsOfKind[] {
  const places = new Map<PlaceErrorKind, Set<number>>();
  const unlisted = new Map<string, number>();
  for (const entry of journal) {
    const body = foundBody.safeParse(entry.body);
    if (!body.success) continue;
    for (const { kind, lba } of body.data.errors ?? []) {
      places.set(kind, (places.get(kind) ?? new Set<number>()).add(lba));
    }
    for (const [kind, count] of Object.entries(body.data.unlisted ?? {})) {
      unlisted.set(kind, (unlisted.get(kind) ?? 0) + count);
    }
  }
  return placeErrorKinds.flatMap((kind) => {
    const lbas = [...(places.get(kind) ?? [])];
    const count = lbas.length + (unlisted.get(kind) ?? 0);
    return count === 0 ? [] : [{ kind, count, firstLbas: lbas.slice(0, lbasShownMax) }];
  });
}

const eventBody = z.object({ event: z.string(), text: z.string() });

/** What happened to the run beside its progress, oldest first, in the agent's own sentences. */
function happenings(journal: readonly JournalRow[]): readonly Happening[] {
  return journal
    .flatMap((entry) => {
      const body = entry.kind === 'event' ? eventBody.safeParse(entry.body) : null;
      return body?.success === true ? [{ wallMs: entry.at.wallMs, text: body.data.text }] : [];
    })
    .slice(-happeningsShownMax);
}
