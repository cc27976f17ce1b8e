import { PageError } from '../box/layouts/page-error.js';
import {
  type DriveCondition,
  decodeDefectHeader,
  decodeRequestSense,
} from '../box/layouts/scsi-condition.js';
import { decodeLogParameters, type LogParameters } from '../box/layouts/scsi-logs.js';
import type { PageAnswers } from './page-answers.js';
import { type Told, thenTold, untold } from './told.js';

/** The records of a SCSI drive; the parameters of a log page are read when they are asked for. */
export interface ScsiRecords {
  readonly condition: Told<DriveCondition>;
  readonly grownDefects: Told<number | null>;
  log<T>(page: number, read: (parameters: LogParameters) => Told<T>, subpage?: number): Told<T>;
}

export function readScsiRecords(pages: PageAnswers): ScsiRecords {
  return {
    condition: pages.read({ record: 'request-sense' }, decodeRequestSense),
    grownDefects: pages.read({ record: 'defect-list' }, decodeDefectHeader),
    log: (log, read, subpage = 0) => {
      const name = { record: 'log-sense', log, subpage } as const;
      const parameters = pages.read(name, (data) => decodeLogParameters(data, { log, subpage }));
      return thenTold(parameters, (found) => readOrRemark(found, read, pages.remarks));
    },
  };
}

/** A parameter shorter than its field is damage too, found only when the field is looked at. */
function readOrRemark<T>(
  parameters: LogParameters,
  read: (parameters: LogParameters) => Told<T>,
  remarks: string[],
): Told<T> {
  try {
    return read(parameters);
  } catch (error) {
    if (!(error instanceof PageError)) throw error;
    if (!remarks.includes(error.message)) remarks.push(error.message);
    return untold(`The page is damaged or of another kind. ${error.message}`);
  }
}
