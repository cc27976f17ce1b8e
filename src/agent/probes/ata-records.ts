import type { HourUnit } from '../../checks/hours-unit.js';
import {
  type AtaErrorLog,
  decodeErrorLog,
  decodeExtendedErrorLog,
} from '../box/layouts/ata-error-log.js';
import { type AtaIdentify, decodeAtaIdentify } from '../box/layouts/ata-identify.js';
import { decodeSctStatus, type SctStatus } from '../box/layouts/ata-sct.js';
import {
  type AtaSelfTest,
  decodeExtendedSelfTestLog,
  decodeSelfTestLog,
} from '../box/layouts/ata-self-test.js';
import {
  decodeSmartData,
  decodeSmartStatus,
  decodeSmartThresholds,
  type SmartAttribute,
  type SmartData,
} from '../box/layouts/ata-smart.js';
import {
  decodeStatisticsList,
  decodeStatisticsPage,
  type StatisticName,
  statisticFields,
} from '../box/layouts/ata-statistics.js';
import { decodeAtaInformationPage } from '../box/layouts/scsi-inquiry.js';
import type { Learned } from './interpretation.js';
import type { PageAnswers } from './page-answers.js';
import { type Told, thenTold, told, untold } from './told.js';

/** The records of an ATA drive, each decoded once or with the reason why it is not there. */
export interface AtaRecords {
  readonly identify: Told<AtaIdentify>;
  readonly smart: Told<SmartData>;
  readonly thresholds: Told<ReadonlyMap<number, number>>;
  readonly status: Told<'failing' | 'passing' | 'no-answer'>;
  readonly sct: Told<SctStatus>;
  readonly selfTests: Told<readonly AtaSelfTest[]>;
  readonly extendedSelfTests: Told<readonly AtaSelfTest[]>;
  readonly errors: Told<AtaErrorLog>;
  readonly extendedErrors: Told<AtaErrorLog>;
  statistic(name: StatisticName): Told<number>;
  attribute(id: number): Told<SmartAttribute>;
  /** What its attribute 9 counts, where that was learned by watching. */
  readonly learnedUnit?: HourUnit;
}

export function readAtaRecords(pages: PageAnswers, learned: Learned = {}): AtaRecords {
  const smart = pages.read({ record: 'smart-data' }, decodeSmartData);
  const log = <T>(number: number, decode: (data: Uint8Array) => T) =>
    pages.read({ record: 'log', log: number }, decode);
  return {
    ...(learned.hoursUnit === undefined ? {} : { learnedUnit: learned.hoursUnit }),
    identify: readIdentify(pages),
    smart,
    thresholds: pages.read({ record: 'smart-thresholds' }, decodeSmartThresholds),
    status: pages.read({ record: 'smart-status' }, decodeSmartStatus),
    sct: log(0xe0, decodeSctStatus),
    selfTests: log(0x06, decodeSelfTestLog),
    extendedSelfTests: wholeLog(pages, 0x07, decodeExtendedSelfTestLog),
    errors: log(0x01, decodeErrorLog),
    extendedErrors: wholeLog(pages, 0x03, decodeExtendedErrorLog),
    statistic: statisticReader(pages),
    attribute: (id) =>
      thenTold(smart, ({ attributes }) => {
        const found = attributes.find((attribute) => attribute.id === id);
        return found === undefined ? untold(`The drive keeps no attribute ${id}`) : told(found);
      }),
  };
}

// A bridge or SAS card may hand on IDENTIFY DEVICE inside INQUIRY page 89h only.
function readIdentify(pages: PageAnswers): Told<AtaIdentify> {
  const own = pages.read({ record: 'identify-device' }, decodeAtaIdentify);
  const carried = { record: 'vpd', page: 0x89 } as const;
  if (own.told || !pages.answered(carried)) return own;
  return pages.read(carried, decodeAtaInformationPage);
}

/** Logs with a history may span several pages: those that follow each other are put together. */
function wholeLog<T>(pages: PageAnswers, log: number, decode: (data: Uint8Array) => T): Told<T> {
  const parts: Uint8Array[] = [];
  for (let page = 1; pages.answered({ record: 'log', log, page }); page += 1) {
    pages.read({ record: 'log', log, page }, (data) => parts.push(data));
  }
  return pages.read({ record: 'log', log }, (first) =>
    decode(first.length > 512 ? first : Uint8Array.from([first, ...parts].flatMap((p) => [...p]))),
  );
}

function statisticReader(pages: PageAnswers): AtaRecords['statistic'] {
  const known = new Map<number, Told<ReturnType<typeof decodeStatisticsPage>>>();
  return (name) => {
    const [page] = statisticFields[name];
    const read = () =>
      pages.read({ record: 'log', log: 0x04, page }, (data) => decodeStatisticsPage(data, page));
    const figures =
      known.get(page) ?? (unlisted(pages, page) ? untold<null>(noPage(page)) : read());
    known.set(page, figures);
    return thenTold(figures, (kept) => {
      const figure = kept?.get(name);
      if (figure === undefined) return untold(noPage(page));
      return figure.usable ? told(figure.value) : untold(figure.why);
    });
  };
}

/** The drive's own list of its pages does not name this one, and none was captured. */
function unlisted(pages: PageAnswers, page: number): boolean {
  if (pages.answered({ record: 'log', log: 0x04, page })) return false;
  const list = pages.read({ record: 'log', log: 0x04 }, decodeStatisticsList);
  return list.told && list.value.length > 0 && !list.value.includes(page);
}

function noPage(page: number): string {
  return `The drive keeps no Device Statistics page ${page}`;
}
