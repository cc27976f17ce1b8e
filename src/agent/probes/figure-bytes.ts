/**
 * Which bytes of the recorded pages make a figure. No table of offsets is kept for this, since a
 * table could say something else than the decoders do: bytes are changed, all pages are read again,
 * and what then reads differently is where the figure comes from.
 */
import type { Capture, RawPage } from '../../checks/capture.js';
import type { ByteRun, FigureBytes, PageMarks } from '../../checks/figure-bytes.js';
import type { FigureName } from '../../checks/figure-name.js';
import type { Reading } from '../../checks/reading.js';
import { changePage, checksumByte, type SummedBlock, summedBlocks } from './change-page.js';
import { effectOf, figureNamed } from './figure-effect.js';
import { fieldsOf } from './figure-fields.js';
import type { MarkedByte } from './figure-number.js';
import { interpret } from './interpret.js';

/** Null when these records tell no such figure. Some hundred readings of all pages. */
export function bytesOfFigure(capture: Capture, name: FigureName): FigureBytes | null {
  const reading = figureNamed(capture, name);
  if (reading === undefined) return null;
  const marks = capture.pages.flatMap((page, index) => {
    if (page.failed !== undefined) return [];
    return marksOf({ capture, name, reading, page, index, blocks: blocksOf(capture, index) });
  });
  const holds = ({ fields }: PageMarks) => fields.length > 0;
  return { reading, pages: [...marks.filter(holds), ...marks.filter((one) => !holds(one))] };
}

interface Trial {
  readonly capture: Capture;
  readonly name: FigureName;
  readonly reading: Reading;
  readonly page: RawPage;
  readonly index: number;
  readonly blocks: readonly SummedBlock[];
}

/** Bits that are turned over, one trial each: all, so that every field changes, then the ends. */
const masks = [0xff, 0x01, 0x80] as const;

function marksOf(trial: Trial): readonly PageMarks[] {
  const { page, blocks, reading } = trial;
  const bytes = markedBytes(trial, { from: 0, to: page.data.length - 1 });
  if (bytes.length === 0) return [];
  const fields = fieldsOf(bytes, { page, reading });
  const isInField = ({ at }: MarkedByte) => fields.some(({ from, to }) => at >= from && at <= to);
  const touched = (block: SummedBlock) =>
    bytes.some(({ at }) => at >= block.start && at < checksumByte(block));
  return [
    {
      page,
      fields,
      deciding: runsOf(bytes.filter((byte) => !isInField(byte)).map(({ at }) => at)),
      checksums: blocks.filter(touched).map(checksumByte),
    },
  ];
}

/** Halves a stretch until single bytes are left; a stretch that nothing depends on is let go. */
function markedBytes(trial: Trial, { from, to }: ByteRun): readonly MarkedByte[] {
  if (from > to) return [];
  if (from === to) return markedByte(trial, from);
  const matters = masks.some(
    (mask) => effectOf(trial.reading, changedRun(trial, { from, to }, mask)) !== 'none',
  );
  if (!matters) return [];
  const middle = (from + to) >>> 1;
  return [
    ...markedBytes(trial, { from, to: middle }),
    ...markedBytes(trial, { from: middle + 1, to }),
  ];
}

const eight = [0, 1, 2, 3, 4, 5, 6, 7] as const;

function markedByte(trial: Trial, at: number): readonly MarkedByte[] {
  const after = [...eight.map((bit) => 1 << bit), 0xff].map((mask) =>
    changedRun(trial, { from: at, to: at }, mask),
  );
  const effects = after.map((one) => effectOf(trial.reading, one));
  if (effects.every((effect) => effect === 'none')) return [];
  return [
    {
      at,
      isFigure: effects.includes('figure'),
      bits: eight.filter((bit) => effects[bit] !== 'none'),
      withBit: after.slice(0, eight.length).map((one) => one?.value ?? null),
    },
  ];
}

function changedRun(trial: Trial, { from, to }: ByteRun, mask: number): Reading | undefined {
  const page = changePage(trial.page, { from, to: to + 1, mask }, trial.blocks);
  return figureNamed(withPage(trial.capture, trial.index, page), trial.name);
}

function withPage(capture: Capture, index: number, page: RawPage): Capture {
  return { ...capture, pages: capture.pages.with(index, page) };
}

/** A checksum counts where its decoder refuses the page, with a remark, once it is wrong. */
function blocksOf(capture: Capture, index: number): readonly SummedBlock[] {
  const page = capture.pages[index];
  if (page === undefined) return [];
  const { remarks } = interpret(capture);
  return summedBlocks(page).filter((block) => {
    const at = checksumByte(block);
    const wrong = changePage(page, { from: at, to: at + 1, mask: 0x01 }, []);
    const after = interpret(withPage(capture, index, wrong)).remarks;
    return after.some((remark) => !remarks.includes(remark));
  });
}

function runsOf(places: readonly number[]): readonly ByteRun[] {
  const runs: { from: number; to: number }[] = [];
  for (const at of places) {
    const last = runs.at(-1);
    if (last !== undefined && last.to === at - 1) last.to = at;
    else runs.push({ from: at, to: at });
  }
  return runs;
}
