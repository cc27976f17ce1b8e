import type { LatestReading, NewestPage, PartRow } from '../agent/store/rows.js';
import type { StoreReader } from '../agent/store/store.js';
import type { RawPage } from '../checks/capture.js';
import type { FigureBytes } from '../checks/figure-bytes.js';
import type { FigureName } from '../checks/figure-name.js';

export interface BytesView {
  readonly part: PartRow;
  readonly name: FigureName;
  /** The newest reading of the figure, from whichever record; null when there is none. */
  readonly newest: LatestReading | null;
  readonly found: FigureBytes | null;
  /** Some record of the part is kept as bytes. */
  readonly keepsBytes: boolean;
  pageAt(page: RawPage): NewestPage | null;
}

export interface BytesQuestion {
  readonly part: PartRow;
  readonly name: FigureName;
  readonly find: (pages: readonly NewestPage[], name: FigureName) => FigureBytes | null;
}

/** What the page of one figure's bytes shows; null when the part has no such figure. */
export function bytesView(store: StoreReader, question: BytesQuestion): BytesView | null {
  const { part, name, find } = question;
  const pages = store.newestPages(part.id);
  const found = find(pages, name);
  const newest =
    store
      .latest(part.id)
      .find(({ metric, place }) => metric === name.metric && place === name.place) ?? null;
  if (newest === null && found === null) return null;
  return {
    part,
    name,
    newest,
    found,
    keepsBytes: pages.length > 0,
    pageAt: (page) => pages.find((kept) => isSame(kept.page, page)) ?? null,
  };
}

function isSame(a: RawPage, b: RawPage): boolean {
  return (
    a.record === b.record &&
    a.log === b.log &&
    a.subpage === b.subpage &&
    a.page === b.page &&
    a.nsid === b.nsid
  );
}
