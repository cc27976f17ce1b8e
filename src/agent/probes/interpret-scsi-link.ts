import type { HourCounter } from '../../checks/capture.js';
import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import { decodeInquiry } from '../box/layouts/scsi-inquiry.js';
import {
  decodeMakersPage37,
  decodeSasPhys,
  minutesSinceFormat,
  type SasPhy,
} from '../box/layouts/scsi-phy-log.js';
import { type Candidate, chooseFigure, onlyFigure } from './choose-figure.js';
import type { PageAnswers } from './page-answers.js';
import type { ScsiRecords } from './scsi-records.js';
import { notNull, type Told, thenTold, told, untold } from './told.js';

const phyPage = 0x18;
const makersPage = 0x37;
const formatPage = 0x08;
const full = 0xffff_ffff;

const counters = [
  ['invalid words', 'invalidWords'],
  ['wrong disparity', 'disparityErrors'],
  ['word boundary lost', 'wordLosses'],
  ['reset that failed', 'resetProblems'],
] as const;

/** Link speed and link counters of each SAS port; silent in a round that did not ask for them. */
export function sasLinkReadings(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  if (!pages.asked({ record: 'log-sense', log: phyPage })) return [];
  const phys = records.log(phyPage, (parameters) => told(decodeSasPhys(parameters)));
  if (!phys.told) return [onlyFigure('link-events', 'LOG SENSE page 18h', phys)];
  return phys.value.flatMap(ofPhy);
}

function ofPhy(phy: SasPhy): readonly Reading[] {
  const name = `port ${phy.port}, phy ${phy.phy}`;
  const source = `LOG SENSE page 18h, ${name}`;
  const { unit } = metricInfo('link-events');
  const speed = notNull(phy.linkBitsPerSecond, 'No link on this port, or its rate is not told');
  return [
    chooseFigure({ metric: 'sas-link-speed', place: name }, [{ source, told: speed }]),
    ...counters.map(([words, field]) => {
      const place = `${name}, ${words}`;
      const text = phy[field] === full ? 'this many or more' : undefined;
      return measured({ metric: 'link-events', place, unit, source }, phy[field], text);
    }),
  ];
}

/** Makers whose page 37h has the layout of HGST C15K600 p. 150. */
const knownMakers = ['HGST', 'HITACHI'];

function ofMaker(pages: PageAnswers, records: ScsiRecords) {
  const inquiry = pages.read({ record: 'inquiry' }, decodeInquiry);
  return thenTold(inquiry, ({ vendor }) =>
    knownMakers.includes(vendor)
      ? records.log(makersPage, (found) => notNull(decodeMakersPage37(found), 'No parameter 0'))
      : untold<never>(`Page 37h of this maker (${vendor}): meaning not known`),
  );
}

/** How many defects that page counts, where the drive was asked for it. */
export function defectsOfMaker(pages: PageAnswers, records: ScsiRecords): readonly Candidate[] {
  if (!pages.asked({ record: 'log-sense', log: makersPage })) return [];
  const figure = thenTold(ofMaker(pages, records), (page) =>
    notNull(page.grownDefects, 'The page holds no count of defects'),
  );
  return [{ source: 'LOG SENSE page 37h', told: figure }];
}

export function makersReadings(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  if (!pages.asked({ record: 'log-sense', log: makersPage })) return [];
  const highest = thenTold(ofMaker(pages, records), (page) =>
    notNull(page.highestCelsius, 'The page holds no highest temperature'),
  );
  return [
    onlyFigure('temperature-highest', 'LOG SENSE page 37h, highest temperature', highest),
    ...makersAmounts(pages, records),
  ];
}

/** Told beside the amounts of the error pages, as records of their own. */
function makersAmounts(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  const page = ofMaker(pages, records);
  if (!page.told) return [];
  const wanted = [
    ['bytes-written', page.value.bytesWritten],
    ['bytes-read', page.value.bytesRead],
  ] as const;
  const place = 'maker’s own page';
  return wanted.flatMap(([metric, bytes]) => {
    const { unit } = metricInfo(metric);
    return bytes === null
      ? []
      : measured({ metric, place, unit, source: 'LOG SENSE page 37h' }, bytes);
  });
}

/** Records of age beside page 15h and the self-tests, where the drive was asked for them. */
export function furtherHours(pages: PageAnswers, records: ScsiRecords): readonly HourCounter[] {
  const format = records.log(formatPage, (found) =>
    notNull(minutesSinceFormat(found), 'The page holds no minutes'),
  );
  const own = thenTold(ofMaker(pages, records), ({ hours }) => notNull(hours, 'No hours'));
  const wanted: readonly (readonly [number, string, Told<number>, string])[] = [
    [formatPage, 'Hours since the last format', inHours(format), 'power-on minutes since format'],
    [makersPage, 'Power-on hours, maker’s own page', own, 'power-on hours'],
  ];
  return wanted
    .filter(([log]) => pages.answered({ record: 'log-sense', log }))
    .map(([log, name, hours, field]) => {
      const source = `LOG SENSE page ${log.toString(16).toUpperCase().padStart(2, '0')}h, ${field}`;
      return { name, hours: hours.told ? hours.value : null, source };
    });
}

function inHours(minutes: Told<number>): Told<number> {
  return thenTold(minutes, (value) => told(Math.round((value * 100) / 60) / 100));
}
