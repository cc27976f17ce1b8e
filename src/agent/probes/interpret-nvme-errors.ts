import type { Reading } from '../../checks/reading.js';
import { countOrNull, hex } from '../box/layouts/bytes.js';
import type { NvmeController, NvmeHealth } from '../box/layouts/nvme.js';
import { decodeNvmeErrors, type NvmeLoggedError } from '../box/layouts/nvme-errors.js';
import { chooseFigure, onlyFigure } from './choose-figure.js';
import type { PageAnswers } from './page-answers.js';
import { notNull, type Told, thenTold, told } from './told.js';

/** Codes of the medium (Linux 6.1 include/linux/nvme.h); rejected commands are far commoner. */
const mediumWords: Readonly<Record<number, string>> = {
  640: 'a write that failed',
  641: 'a place could not be read',
  642: 'protection data did not agree (guard)',
  643: 'protection data did not agree (application tag)',
  644: 'protection data did not agree (reference tag)',
  645: 'a comparison that failed',
  646: 'access denied',
  647: 'a place that was never written',
};

const ofMedium = 0x200;

function words({ status, lba }: NvmeLoggedError): string {
  const known = mediumWords[status];
  const place = (status & 0x700) === ofMedium ? `, block ${lba}` : '';
  if (known !== undefined) return `${known}${place}`;
  const rejected = status < ofMedium ? 'a command that the drive rejected' : 'an error';
  return `${rejected} (status ${hex(status, 3)})${place}`;
}

/** The count of all entries ever, and the newest entry where the log was asked for. */
export function nvmeErrorReadings(
  pages: PageAnswers,
  health: Told<NvmeHealth>,
): readonly Reading[] {
  const source = 'NVMe health log 02h, error log entries';
  const count = thenTold(health, ({ errorLogEntries }) =>
    notNull(countOrNull(errorLogEntries), 'The counter is too large to be told exactly'),
  );
  const all = onlyFigure('errors-logged', source, count);
  const name = { record: 'nvme-log', log: 0x01 } as const;
  if (!pages.answered(name)) return [all];
  const log = pages.read(name, decodeNvmeErrors);
  const newest = log.told ? log.value[0] : undefined;
  const from = 'NVMe error log 01h, newest entry';
  if (!log.told) return [all, onlyFigure('last-error-logged', from, log)];
  if (newest === undefined) return [all];
  return [all, onlyFigure('last-error-logged', from, told(newest.status), words(newest))];
}

/** Minutes that the drive spent past its two limits. */
export function nvmeHeatReadings(health: Told<NvmeHealth>): readonly Reading[] {
  const metric = 'time-over-temperature';
  const minutes = (place: string, field: 'minutesOverWarning' | 'minutesOverCritical') =>
    chooseFigure({ metric, place }, [
      {
        source: `NVMe health log 02h, ${place} temperature time`,
        told: thenTold(health, (log) => told(log[field])),
      },
    ]);
  return [minutes('warning', 'minutesOverWarning'), minutes('critical', 'minutesOverCritical')];
}

/** Counters that contradict each other, and space that no namespace shows. */
export function nvmeRemarks(
  health: Told<NvmeHealth>,
  controller: Told<NvmeController>,
): readonly string[] {
  const remarks: string[] = [];
  if (health.told && health.value.unsafeShutdowns > health.value.powerCycles) {
    const { unsafeShutdowns, powerCycles } = health.value;
    remarks.push(
      `Two counters disagree: ${unsafeShutdowns} unsafe shutdowns in ${powerCycles} power cycles`,
    );
  }
  if (controller.told && controller.value.unallocatedBytes > 0n) {
    const { unallocatedBytes } = controller.value;
    remarks.push(`The drive holds ${unallocatedBytes} bytes that no namespace shows`);
  }
  return remarks;
}
