import type { EventKind } from '../../checks/event.js';
import type { EventFact, LogFact, MarkKind } from './log-fact.js';

/** What lines before these told, in so far as later lines mean something else by it. */
export interface LogState {
  /**
   * Ports and addresses with a drive that is ready. An empty port is told as "down" at boot, which
   * is no loss, and each SCSI drive tells of a reset while it is found, which is no event.
   */
  readonly linked: ReadonlySet<string>;
  /** When the box woke up; infinite while it is asleep, null when it never slept. */
  readonly awokeMs: number | null;
}

/** Our choice: until then after it woke up every link of the box is set up anew. */
const wakingMs = 30_000;

/** Facts that are events, and what the next lines need to know. Pure. */
export function realFacts(
  facts: readonly LogFact[],
  state: LogState,
): { readonly real: readonly EventFact[]; readonly state: LogState } {
  const linked = new Set(state.linked);
  let { awokeMs } = state;
  const real = facts.flatMap((fact): readonly EventFact[] => {
    if (fact.kind === 'suspended') awokeMs = Number.POSITIVE_INFINITY;
    if (fact.kind === 'awake') awokeMs = fact.monoMs;
    const kind = eventKindOf(fact, linked);
    const isWaking = awokeMs !== null && fact.monoMs - awokeMs <= wakingMs;
    if (kind === null || (isWaking && (kind === 'link-reset' || kind === 'drive-reset'))) return [];
    return [{ ...fact, kind }];
  });
  return { real, state: { linked, awokeMs } };
}

function eventKindOf({ kind, subject: { by, name } }: LogFact, linked: Set<string>) {
  if (kind === 'link-up') linked.add(name);
  if (kind === 'found') linked.delete(name);
  if (kind === 'power-on') return linked.has(name) ? 'drive-reset' : null;
  if (kind === 'link-lost' && by === 'ata-port' && !linked.delete(name)) return null;
  return isMark(kind) ? null : kind;
}

function isMark(kind: EventKind | MarkKind): kind is MarkKind {
  return kind === 'link-up' || kind === 'found' || kind === 'suspended' || kind === 'awake';
}
