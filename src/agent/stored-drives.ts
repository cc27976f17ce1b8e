import type { LatestReading } from './store/rows.js';
import type { StoreReader } from './store/store.js';

/**
 * What the store holds of drives, as each round asks for it. A part keeps its number for good, and
 * raw pages are never removed: both are looked for once, since with many drives looking for them
 * costs more than decoding what the drives say.
 */
export class StoredDrives {
  readonly #store: Pick<StoreReader, 'parts' | 'latest' | 'rawPages'>;
  readonly #numbers = new Map<string, number>();
  readonly #withPages = new Set<number>();

  constructor(store: Pick<StoreReader, 'parts' | 'latest' | 'rawPages'>) {
    this.#store = store;
  }

  /** The newest reading of each series of a drive; none of a drive that was never kept. */
  latestOf(identityKey: string): readonly LatestReading[] {
    const number = this.#numberOf(identityKey);
    return number === null ? [] : this.#store.latest(number);
  }

  /** Whether raw pages of a part were kept. */
  hasPages(partId: number): boolean {
    if (this.#withPages.has(partId)) return true;
    const has = this.#store.rawPages(partId).length > 0;
    if (has) this.#withPages.add(partId);
    return has;
  }

  #numberOf(identityKey: string): number | null {
    const known = this.#numbers.get(identityKey);
    if (known !== undefined) return known;
    const found = this.#store.parts().find((one) => one.identityKey === identityKey);
    if (found === undefined) return null;
    this.#numbers.set(identityKey, found.id);
    return found.id;
  }
}
