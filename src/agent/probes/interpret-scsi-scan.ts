import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import { hex } from '../box/layouts/bytes.js';
import {
  decodeScanFindings,
  decodeScanState,
  type ScanFinding,
} from '../box/layouts/scsi-counts.js';
import type { PageAnswers } from './page-answers.js';
import type { ScsiRecords } from './scsi-records.js';
import { notNull, told } from './told.js';

const page = 0x15;
const source = 'LOG SENSE page 15h';

/** Status of the scan (Seagate SCSI Commands Reference Rev. J p. 313). */
const statusWords = [
  'not running',
  'running over the whole surface',
  'running before first use',
  'stopped by a fatal error',
  'stopped by a pattern of errors',
  'stopped, the drive was formatted without its first list of defects',
  'stopped for a reason of the maker',
  'stopped by the temperature',
  'waiting for its time',
] as const;

/** The scan of its surface that the drive runs by itself; silent where it keeps no such page. */
export function scanReadings(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  if (!pages.answered({ record: 'log-sense', log: page })) return [];
  const state = records.log(page, (found) => notNull(decodeScanState(found), 'No state'));
  const places = records.log(page, (found) => told(decodeScanFindings(found)));
  const figure = (metric: string) => ({ metric, unit: metricInfo(metric).unit, source });
  const readings: Reading[] = [];
  if (state.told) {
    const { status, scans, percentDone } = state.value;
    const words = statusWords[status] ?? `state ${status}, meaning not known`;
    readings.push(measured(figure('background-scan'), status, words));
    readings.push(measured(figure('background-scans'), scans));
    if (status === 1 || status === 2) {
      readings.push(measured(figure('background-scan-done'), percentDone));
    }
  }
  if (places.told) {
    const text = placeWords(places.value);
    readings.push(measured(figure('background-scan-places'), places.value.length, text));
  }
  return readings;
}

/** Sense keys as a person reads them: 1 recovered, 3 medium error. */
function placeWords(places: readonly ScanFinding[]): string | undefined {
  const [first] = places;
  if (first === undefined) return undefined;
  const how = first.key === 1 ? 'read with correction' : 'not readable';
  const sense = `${hex(first.key, 1)}/${hex(first.code)}/${hex(first.qualifier)}`;
  return `the first: block ${first.lba}, ${first.key === 1 || first.key === 3 ? how : 'found'} (sense ${sense})`;
}
