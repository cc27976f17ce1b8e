import { bytesOfFigure } from '../agent/probes/figure-bytes.js';
import { figuresOf } from '../agent/probes/figure-effect.js';
import { fieldWords, runsWords } from '../checks/byte-words.js';
import type { Capture } from '../checks/capture.js';
import type { FigureBytes, PageMarks } from '../checks/figure-bytes.js';
import { formatFigureName, parseFigureName } from '../checks/figure-name.js';
import { type HexByte, type HexRow, hexRows } from '../checks/hex-rows.js';
import { metricTitle } from '../checks/metrics.js';
import { nearestName } from '../checks/model/nearest-name.js';
import type { Reading } from '../checks/reading.js';
import { pageWords, recordRowOf } from '../checks/record-words.js';
import { formatReading } from '../checks/units.js';
import { badInput } from './options.js';

/** The bytes of a captured file that make one figure, by the figure's name or title. */
export function figureBytesIn(capture: Capture, wanted: string): FigureBytes {
  const figures = figuresOf(capture);
  const found = figures.find((figure) => names(figure).includes(wanted.toLowerCase()));
  const marks = found === undefined ? null : bytesOfFigure(capture, parseFigureName(nameOf(found)));
  if (marks !== null) return marks;
  const nearest = nearestName(wanted, figures.map(nameOf));
  const hint = nearest === null ? 'See bayward decode --json FILE' : `Perhaps "${nearest}"`;
  throw badInput(`The captured file tells no figure "${wanted}"`, hint);
}

export function bytesLines({ reading, pages }: FigureBytes): readonly string[] {
  const why = reading.why === undefined ? '' : ` ${reading.why}.`;
  const isAlone = pages.flatMap(({ fields }) => fields).length === 1;
  return [
    `${titleOf(reading)}: ${formatReading(reading)}, from ${reading.source}.${why}`,
    ...(pages.length === 0 ? ['No byte of this file decides it.'] : []),
    ...pages.flatMap((page) => ['', ...pageLines(page, isAlone)]),
    ...(pages.length === 0
      ? []
      : ['', '[ ] holds it   ( ) decides whether it counts   < > checksum']),
  ];
}

/** One object: the reading, and each page with its bytes and the places that matter. */
export function bytesJson({ reading, pages }: FigureBytes): string {
  return JSON.stringify({
    reading,
    pages: pages.map(({ page, fields, deciding, checksums }) => ({
      ...page,
      data: Buffer.from(page.data).toString('hex'),
      fields: fields.map(({ number, ...field }) => ({
        ...field,
        number: number === null ? null : { ...number, number: number.number.toString() },
      })),
      deciding,
      checksums,
    })),
  });
}

function nameOf(figure: Reading): string {
  return formatFigureName(figure);
}

function titleOf({ metric, place = '' }: Reading): string {
  return place === '' ? metricTitle(metric) : `${metricTitle(metric)}, ${place}`;
}

function names(figure: Reading): readonly string[] {
  return [nameOf(figure), titleOf(figure)].map((name) => name.toLowerCase());
}

function pageLines(marks: PageMarks, isAlone: boolean): readonly string[] {
  const { page, fields, deciding, checksums } = marks;
  const source = recordRowOf(page)?.source;
  const basis = source === undefined ? '' : `, by ${source}`;
  const checked = checksums.map((at) => ({ from: at, to: at }));
  return [
    `${pageWords(page)}, ${page.data.length} bytes${basis}:`,
    ...fields.map((field) => `  ${fieldWords(field, page.data, isAlone)}`),
    ...(deciding.length === 0 ? [] : [`  whether it counts: ${runsWords(deciding)}`]),
    ...(checked.length === 0 ? [] : [`  checksum of the page: ${runsWords(checked)}`]),
    ...hexRows({ ...marks, data: page.data }, false).map(rowLine),
  ];
}

function rowLine(row: HexRow): string {
  if ('leftOut' in row) return `        ${runsWords([row.leftOut])}: not looked at for this figure`;
  return `  ${String(row.offset).padStart(4)}  ${row.bytes.map(byteText).join('')}`.trimEnd();
}

const brackets = { figure: ['[', ']'], deciding: ['(', ')'], checksum: ['<', '>'] } as const;

function byteText({ hex, mark }: HexByte): string {
  const [open, close] = mark === null ? [' ', ' '] : brackets[mark];
  return `${open}${hex}${close}`;
}
