import { bytesOfFigure } from '../agent/probes/figure-bytes.js';
import { figuresOf } from '../agent/probes/figure-effect.js';
import type { NewestPage } from '../agent/store/rows.js';
import type { Capture } from '../checks/capture.js';
import type { FigureBytes } from '../checks/figure-bytes.js';
import { type FigureName, formatFigureName } from '../checks/figure-name.js';

/** The newest bytes of all records of a drive, as if they had been read at once. */
export function keptCapture(pages: readonly NewestPage[]): Capture | null {
  const newest = pages.toSorted((a, b) => b.at.wallMs - a.at.wallMs)[0];
  if (newest === undefined) return null;
  const { commandSet } = newest;
  return {
    taken: new Date(newest.at.wallMs).toISOString(),
    commandSet,
    pages: pages.filter((one) => one.commandSet === commandSet).map(({ page }) => page),
  };
}

/** Names of the figures that the kept bytes tell, each a way to its bytes. */
export function figuresWithBytes(pages: readonly NewestPage[]): ReadonlySet<string> {
  const capture = keptCapture(pages);
  return new Set(capture === null ? [] : figuresOf(capture).map(formatFigureName));
}

const answersMax = 100;

/** Finding the bytes takes some hundred readings of all pages, so answers are kept for a while. */
export function makeBytesFinder() {
  const answers = new Map<string, FigureBytes | null>();
  return (pages: readonly NewestPage[], name: FigureName): FigureBytes | null => {
    const capture = keptCapture(pages);
    if (capture === null) return null;
    const key = [formatFigureName(name), ...pages.map(({ sha256 }) => sha256)].join(' ');
    const known = answers.get(key);
    if (known !== undefined) return known;
    const found = bytesOfFigure(capture, name);
    const [oldest] = answers.keys();
    if (answers.size >= answersMax && oldest !== undefined) answers.delete(oldest);
    answers.set(key, found);
    return found;
  };
}
