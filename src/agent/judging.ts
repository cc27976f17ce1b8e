import { checkPart } from '../checks/catalogue.js';
import { checkInputOf, type KnownHistories, type SpeedKnowledge } from '../checks/check-input.js';
import type { Finding } from '../checks/finding.js';
import { judge } from '../checks/judge.js';
import { isTakenOut } from '../checks/rules/drive-missing.js';
import { whereWords } from '../checks/where-words.js';
import type { Instant } from './store/rows.js';
import type { StoreWriter } from './store/store.js';

export interface JudgingParts extends SpeedKnowledge {
  readonly store: StoreWriter;
  readonly known?: KnownHistories;
}

/** A finding that was not there before. */
export type Opened = Pick<Finding, 'code' | 'subject'>;

/** Puts every part before every check and keeps what changed; returns the findings that opened. */
export function judgeAll(parts: JudgingParts, now: Instant): readonly Opened[] {
  const { store } = parts;
  const findings = store.findings('all');
  const open = findings.filter(({ state }) => state === 'open');
  const kept = store.parts();
  const facts = { ...parts, figures: store, parts: kept, findings, now };
  const inputs = kept.map((part) => checkInputOf(part, facts));
  const takenOut = inputs.filter(isTakenOut).map(({ subject }) => subject);
  const changes = judge({
    results: inputs.flatMap(checkPart),
    open,
    past: findings.filter(({ state }) => state === 'cleared'),
    at: now,
    takenOut: new Set(takenOut),
    whereOf: (subject) => whereWords(subject, { parts: kept, model: parts.model }),
  });
  if (changes.length > 0) store.keepFindings(now, changes);
  return changes.filter(({ kind }) => kind === 'open').map(({ finding }) => finding);
}
