import type { RawPage } from '../../checks/capture.js';
import type { ByteNumber, ByteRun, FigureField } from '../../checks/figure-bytes.js';
import type { Reading } from '../../checks/reading.js';
import { type MarkedByte, numberOf } from './figure-number.js';

export interface FieldQuestion {
  readonly page: RawPage;
  readonly reading: Reading;
}

/**
 * Bytes of a figure that follow each other as fields. Where one holds the number itself, the others
 * are no part of the figure: they choose where or whether it is read.
 */
export function fieldsOf(
  bytes: readonly MarkedByte[],
  question: FieldQuestion,
): readonly FigureField[] {
  const runs: MarkedByte[][] = [];
  for (const byte of bytes.filter(({ isFigure }) => isFigure)) {
    const last = runs.at(-1);
    if (last?.at(-1)?.at === byte.at - 1) last.push(byte);
    else runs.push([byte]);
  }
  const fields = runs.map(
    (run) =>
      numberField(run, bytes, question) ?? { ...spanOf(run), number: null, bits: bitsOf(run) },
  );
  const numbers = fields.filter(({ number }) => number !== null);
  return numbers.length > 0 ? numbers : fields;
}

function spanOf(run: readonly MarkedByte[]): ByteRun {
  return { from: run[0]?.at ?? 0, to: run.at(-1)?.at ?? 0 };
}

/** Only of a single byte is it worth telling which bits count, and only when not all of them do. */
function bitsOf(run: readonly MarkedByte[]): readonly number[] | null {
  const bits = run.length === 1 ? (run[0]?.bits ?? []) : [];
  return bits.length === 0 || bits.length === 8 ? null : bits;
}

/**
 * The longest stretch of the run that holds a number. Only where the number is the figure itself
 * may other bytes beside it be left over.
 */
function numberField(
  run: readonly MarkedByte[],
  all: readonly MarkedByte[],
  { reading, page }: FieldQuestion,
): FigureField | null {
  const { value, unit } = reading;
  if (unit === 'code' || value === null || bitsOf(run) !== null) return null;
  for (let length = run.length; length > 0; length -= 1) {
    for (let start = 0; start + length <= run.length; start += 1) {
      const part = run.slice(start, start + length);
      const number = numberOf(part, value, page);
      if (number === null) continue;
      const span = withHighBytes(spanOf(part), number.order, { all, page });
      const isWhole = span.from <= spanOf(run).from && span.to >= spanOf(run).to;
      if (isWhole || number.plus === 0) return { ...span, number, bits: null };
    }
  }
  return null;
}

/**
 * The highest bytes of a wide counter are zero, and any bit in them makes a number that no counter
 * can have reached, so that the figure is refused: they belong to the field too.
 */
function withHighBytes(
  { from, to }: ByteRun,
  order: ByteNumber['order'],
  { all, page }: { readonly all: readonly MarkedByte[]; readonly page: RawPage },
): ByteRun {
  const isHigh = (at: number) =>
    page.data[at] === 0 && all.some((byte) => byte.at === at && byte.bits.length === 8);
  let [start, end] = [from, to];
  while (order === 'little-endian' && isHigh(end + 1)) end += 1;
  while (order === 'big-endian' && isHigh(start - 1)) start -= 1;
  return { from: start, to: end };
}
