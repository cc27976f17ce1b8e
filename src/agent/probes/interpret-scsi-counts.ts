import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import { exactNumber, hex } from '../box/layouts/bytes.js';
import { decodeGeneralStatistics, type GeneralStatistics } from '../box/layouts/scsi-counts.js';
import { decodeReadCapacity } from '../box/layouts/scsi-inquiry.js';
import { logCounter } from '../box/layouts/scsi-logs.js';
import type { Candidate } from './choose-figure.js';
import type { PageAnswers } from './page-answers.js';
import type { ScsiRecords } from './scsi-records.js';
import { notNull, type Told, thenTold } from './told.js';

const statisticsPage = 0x19;
const beside = 0x06;

/** Parameters of the error counter pages (Seagate SCSI Commands Reference Rev. J p. 328). */
const corrected = [
  ['errors-corrected-late', 1],
  ['tries-repeated', 2],
  ['errors-corrected', 3],
] as const;

const errorPages = [
  ['writing', 0x02],
  ['reading', 0x03],
  ['verifying', 0x05],
] as const;

/** Counters that tell no damage by themselves and that many drives leave out: only where told. */
export function scsiCountReadings(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  const counts = errorPages.flatMap(([place, log]) =>
    corrected.flatMap(([metric, code]) => {
      const count = counter(pages, records, { log, code });
      const source = `LOG SENSE page ${hex(log)}, parameter ${code}`;
      return count.told ? [figure(metric, source, count.value, place)] : [];
    }),
  );
  const other = counter(pages, records, { log: beside, code: 0 });
  const source = `LOG SENSE page ${hex(beside)}`;
  return [
    ...counts,
    ...(other.told ? [figure('non-medium-errors', source, other.value)] : []),
    ...commandCounts(pages, records),
    ...ratedCounts(records, pages),
  ];
}

function commandCounts(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  const statistics = statisticsOf(pages, records);
  const wanted = [
    ['read-commands', 'readCommands'],
    ['write-commands', 'writeCommands'],
  ] as const;
  return wanted.flatMap(([metric, field]) => {
    const count = statistics?.[field] ?? null;
    return count === null ? [] : [figure(metric, 'LOG SENSE page 19h', count)];
  });
}

/** For how many starts and head loads the maker made the drive (HGST C15K600 p. 131). */
function ratedCounts(records: ScsiRecords, pages: PageAnswers): readonly Reading[] {
  const wanted = [
    ['start-stops-rated', 3],
    ['head-loads-rated', 5],
  ] as const;
  return wanted.flatMap(([metric, code]) => {
    const count = counter(pages, records, { log: 0x0e, code });
    return count.told && count.value > 0
      ? [figure(metric, `LOG SENSE page 0Eh, parameter ${code}`, count.value)]
      : [];
  });
}

interface Place {
  readonly log: number;
  readonly code: number;
}

function counter(pages: PageAnswers, records: ScsiRecords, { log, code }: Place): Told<number> {
  if (!pages.answered({ record: 'log-sense', log })) {
    return { told: false, state: 'no-figure', why: `The drive gave no page ${hex(log)}` };
  }
  return records.log(log, (parameters) => notNull(logCounter(parameters, code), 'No figure'));
}

function figure(metric: string, source: string, value: number, place?: string): Reading {
  const { unit } = metricInfo(metric);
  return measured({ metric, unit, source, ...(place === undefined ? {} : { place }) }, value);
}

function statisticsOf(pages: PageAnswers, records: ScsiRecords): GeneralStatistics | null {
  if (!pages.answered({ record: 'log-sense', log: statisticsPage })) return null;
  const found = records.log(statisticsPage, (parameters) =>
    notNull(decodeGeneralStatistics(parameters), 'The page holds no statistics'),
  );
  return found.told ? found.value : null;
}

/** Data moved by blocks, for drives whose error pages do not count bytes. */
export function movedByBlocks(
  pages: PageAnswers,
  records: ScsiRecords,
  field: 'blocksWritten' | 'blocksRead',
): readonly Candidate[] {
  const blocks = statisticsOf(pages, records)?.[field] ?? null;
  if (blocks === null) return [];
  const capacity = pages.read({ record: 'read-capacity-16' }, decodeReadCapacity);
  const bytes = thenTold(capacity, ({ blockBytes }) =>
    notNull(exactNumber(BigInt(blocks) * BigInt(blockBytes)), 'Too large to be told exactly'),
  );
  return [{ source: 'LOG SENSE page 19h, blocks', told: bytes }];
}
