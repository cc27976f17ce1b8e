import type { Reading } from '../../checks/reading.js';
import { hex } from '../box/layouts/bytes.js';
import { logCounter } from '../box/layouts/scsi-logs.js';
import { chooseFigure, onlyFigure } from './choose-figure.js';
import { movedByBlocks } from './interpret-scsi-counts.js';
import { defectsOfMaker } from './interpret-scsi-link.js';
import type { PageAnswers } from './page-answers.js';
import type { ScsiRecords } from './scsi-records.js';
import { notNull, type Told, thenTold, told, untold } from './told.js';

/** Parameters of the error counter pages (Seagate SCSI Commands Reference Rev. J p. 328). */
const bytesProcessed = 5;
const uncorrected = 6;
const pendingPage = { log: 0x15, subpage: 0x01 } as const;

export function scsiErrorReadings(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  const counter = (log: number, code: number, subpage = 0) =>
    records.log(
      log,
      (parameters) => notNull(logCounter(parameters, code), `Page ${hex(log)} lacks the figure`),
      subpage,
    );
  return [
    onlyFigure('read-errors', 'LOG SENSE page 03h, uncorrected errors', counter(0x03, uncorrected)),
    uncorrectedTotal((log) => counter(log, uncorrected)),
    ...grownDefects(pages, records),
    onlyFigure(
      'pending-sectors',
      'LOG SENSE page 15h/01h, pending defects',
      counter(pendingPage.log, 0, pendingPage.subpage),
    ),
    chooseFigure({ metric: 'bytes-written' }, [
      { source: 'LOG SENSE page 02h, bytes', told: counter(0x02, bytesProcessed) },
      ...movedByBlocks(pages, records, 'blocksWritten'),
    ]),
    chooseFigure({ metric: 'bytes-read' }, [
      { source: 'LOG SENSE page 03h, bytes', told: counter(0x03, bytesProcessed) },
      ...movedByBlocks(pages, records, 'blocksRead'),
    ]),
  ];
}

/** Writes, reads and verifies together; the source names the pages that were added up. */
function uncorrectedTotal(counter: (log: number) => Told<number>): Reading {
  const pages = [0x02, 0x03, 0x05].map((log) => ({ log, count: counter(log) }));
  const counted = pages.flatMap(({ log, count }) =>
    count.told ? [{ log, count: count.value }] : [],
  );
  const metric = 'uncorrectable-errors-reported';
  const [first] = pages;
  if (counted.length === 0) {
    const none = first === undefined || first.count.told ? untold<number>('') : first.count;
    return onlyFigure(metric, 'LOG SENSE pages 02h, 03h, 05h, uncorrected errors', none);
  }
  const names = counted.map(({ log }) => hex(log)).join(', ');
  const total = counted.reduce((sum, { count }) => sum + count, 0);
  return onlyFigure(metric, `LOG SENSE pages ${names}, uncorrected errors`, told(total));
}

/** Asked for once, when idle: another round that reached the drive says nothing of them. */
function grownDefects(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  const name = { record: 'defect-list' } as const;
  const reached = pages.answered({ record: 'log-sense', log: 0x00 });
  if (reached && !pages.asked(name)) return [];
  const list = thenTold(records.grownDefects, (count) =>
    notNull(count, 'The drive gave no grown defect list'),
  );
  return [
    chooseFigure({ metric: 'grown-defects' }, [
      { source: 'READ DEFECT DATA, grown list', told: list },
      ...defectsOfMaker(pages, records),
    ]),
  ];
}
