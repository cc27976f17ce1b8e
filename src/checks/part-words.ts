import { arrayClauses } from './array-words.js';
import { driveInFull, driveInShort } from './drive-words.js';
import { lowerFirst } from './letters.js';
import { absentClause, linkClause, pciClause } from './link-words.js';
import { managementInFull, managementInShort } from './management-words.js';
import { moduleClauses } from './module-words.js';
import type { PartKind } from './part.js';
import type { SeenFigure } from './seen-figure.js';
import { sensorsInFull, sensorsInShort } from './sensor-words.js';

export interface PartToWord {
  readonly kind: PartKind;
  readonly details: Readonly<Record<string, unknown>>;
  readonly latest: readonly SeenFigure[];
}

export interface PartWording {
  /** `short` is what matters first, as pages show it; `full` is all of it, as `status` prints. */
  readonly length: 'short' | 'full';
  /** How a part is called, by its id or serial. */
  readonly nameOf: (id: string) => string;
  /** A moment in milliseconds of the calendar as a day. */
  readonly dayOf: (wallMs: number) => string;
}

/**
 * The state of a part in clauses that stand within a sentence, from its newest readings alone. They
 * name figures and never call a part good: where nothing was read there is no clause. Pure; never
 * throws.
 */
export function partClauses(part: PartToWord, wording: PartWording): readonly string[] {
  const clauses = clausesOf(part, wording).filter((clause) => clause !== null);
  if (clauses.length > 0 || wording.length === 'full') return clauses;
  return sensorsInShort(part.latest);
}

function clausesOf(
  { kind, details, latest }: PartToWord,
  { length, nameOf, dayOf }: PartWording,
): readonly (string | null)[] {
  const isShort = length === 'short';
  switch (kind) {
    case 'drive': {
      const hidden = details.notVisibleWhy;
      if (isShort && typeof hidden === 'string' && hidden !== '') {
        return [`not visible: ${lowerFirst(hidden)}`];
      }
      return isShort ? driveInShort(latest, dayOf) : driveInFull(latest, dayOf);
    }
    case 'network-card':
      return [
        linkClause(latest, 'network-rate', 'network link'),
        isShort ? absentClause(latest, 'network-rate') : null,
        ...moduleClauses(latest),
        ...pciClauses(latest, isShort),
      ];
    case 'disk-controller':
      return pciClauses(latest, isShort);
    case 'array':
      return arrayClauses(latest, nameOf);
    case 'management-controller':
      return isShort ? managementInShort(latest) : managementInFull(latest);
    default:
      return isShort ? sensorsInShort(latest) : sensorsInFull(latest);
  }
}

function pciClauses(latest: readonly SeenFigure[], isShort: boolean): readonly (string | null)[] {
  const clause = pciClause(latest);
  if (clause !== null || !isShort) return [clause];
  return [absentClause(latest, 'pci-link-lanes') ?? absentClause(latest, 'pci-link-speed')];
}
