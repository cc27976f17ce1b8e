import type { Check, CheckInput } from '../check.js';
import type { EventKind } from '../event.js';
import { evidenceOf } from '../history.js';
import { isLater } from './growth-baseline.js';
import { sharedPartsOf } from './shared-parts.js';

const code = 'drive-missing';

/** Gone for this long in one boot, it did not only fall off its cable for a moment. Our choice. */
const goneForMs = 3_600_000;
/** After a start drives may need this long until they answer. Our choice. */
const startMs = 10 * 60_000;

/**
 * True when a part that is not found counts as taken out: for an hour of one boot, or from one boot
 * to the next once that one runs for ten minutes. Its findings are closed then, and count anew from
 * the same first values when it comes back.
 */
export function isTakenOut({
  gone,
  lastSeen,
  now,
}: Pick<CheckInput, 'gone' | 'lastSeen' | 'now'>): boolean {
  if (gone === null) return false;
  if (lastSeen.boot < now.boot) return now.monoMs >= startMs;
  return now.monoMs - gone.monoMs >= goneForMs;
}

/**
 * Claim: a drive that the model or an array names is found in the box. Opens when it counts as
 * taken out (see `isTakenOut`), for today when an array has it, else soon; clears when it is back,
 * or when a person accounts for it. Silent for drives that nobody counts on: on USB, virtual, with
 * a doubtful identity, or named by neither the model nor an array.
 */
export const driveMissing: Check = {
  code,
  claim: 'The drive is found in the box',
  judge: (input) => {
    if (input.kind !== 'drive' || !isCountedOn(input) || wasAccountedFor(input)) return [];
    const { gone } = input;
    return [
      {
        code,
        subject: input.subject,
        outcome: gone === null ? 'met' : 'short',
        urgency: input.arrays.length > 0 ? 'today' : 'soon',
        measured: gone === null ? 1 : 0,
        expected: 1,
        unit: 'count',
        source: 'the model file, or the array that it belongs to',
        evidence:
          gone === null
            ? []
            : [evidenceOf('Not found from then on', { ...gone, value: 0 }, 'count')],
        ...(gone === null || isTakenOut(input) ? {} : { provisional: true as const }),
        ...sharedPartsOf(input),
      },
    ];
  },
};

function isCountedOn({ details, arrays, inModel, events }: CheckInput): boolean {
  if (details.reachedBy === 'usb' || details.reachedBy === 'virtual') return false;
  if (hasTwin(events)) return false;
  return details.duplicateIdentity !== true && (inModel || arrays.length > 0);
}

/** Not gone: another drive tells its name, so that both are known by their places meanwhile. */
function hasTwin(events: CheckInput['events']): boolean {
  return events.find(({ kind }) => comings.includes(kind))?.kind === 'identity-shared';
}

const comings: readonly EventKind[] = ['part-missing', 'part-new', 'part-back', 'identity-shared'];

/** A person may have accounted for it, or for the one finding about what several drives share. */
function wasAccountedFor({ findings, gone, subject }: CheckInput): boolean {
  if (gone === null) return false;
  return findings.some(
    ({ clearedWhy, clearedBoot: boot, clearedWallMs: wallMs, ...one }) =>
      (one.code === 'drives-dropped-together' || (one.code === code && one.subject === subject)) &&
      clearedWhy === 'accounted-for' &&
      boot !== null &&
      wallMs !== null &&
      isLater({ boot, wallMs }, gone),
  );
}
