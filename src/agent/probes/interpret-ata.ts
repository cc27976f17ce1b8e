import type { Capture } from '../../checks/capture.js';
import type { Reading } from '../../checks/reading.js';
import { exactNumber } from '../box/layouts/bytes.js';
import { decodeTaskFile } from '../box/layouts/task-file.js';
import { temperature } from './ata-attribute-figures.js';
import { counterReadings, statisticCandidate } from './ata-counter-rules.js';
import { type AtaRecords, readAtaRecords } from './ata-records.js';
import { type Candidate, chooseFigure, onlyFigure } from './choose-figure.js';
import { errorReadings, errorRemarks } from './interpret-ata-errors.js';
import {
  agreementReadings,
  familyReadings,
  highestByWords,
  rateReadings,
} from './interpret-ata-families.js';
import {
  hourCountersOfAta,
  hourRemarks,
  hoursCandidates,
  hoursCountReadings,
} from './interpret-ata-hours.js';
import { ataIdentity, ataIdentityRemarks, hiddenReadings } from './interpret-ata-identity.js';
import { recoveryReadings } from './interpret-ata-recovery.js';
import { selfTestReadings } from './interpret-ata-self-test.js';
import { settingReadings, settingRemarks, tableLimits } from './interpret-ata-settings.js';
import { statisticReadings } from './interpret-ata-statistics.js';
import { traitReadings } from './interpret-ata-traits.js';
import { verdictReading, verdictRemarks } from './interpret-ata-verdict.js';
import type { Interpretation, Learned } from './interpretation.js';
import type { PageAnswers } from './page-answers.js';
import { powerModeWords } from './power-mode-words.js';
import { notNull, type Told, thenTold, told, untold } from './told.js';

export function interpretAta(
  capture: Capture,
  pages: PageAnswers,
  learned: Learned = {},
): Interpretation {
  const records = readAtaRecords(pages, learned);
  const asked = capture.pages.some((page) => page.record === 'smart-status');
  const readings = [
    verdictReading(records, asked),
    chooseFigure({ metric: 'power-on-hours' }, hoursCandidates(records)),
    ...hoursCountReadings(records),
    ...temperatureReadings(records),
    ...tableLimits(pages),
    ...counterReadings(records),
    ...rateReadings(records),
    ...familyReadings(records),
    ...agreementReadings(records),
    ...amountReadings(records),
    ...selfTestReadings(records),
    ...recoveryReadings(pages, records),
    powerMode(pages),
    ...linkReadings(records),
    ...settingReadings(pages),
    ...traitReadings(pages, records),
    ...statisticReadings(pages, records),
    ...hiddenReadings(pages, records),
    ...errorReadings(pages, records),
  ];
  const remarks = [
    ...ataIdentityRemarks(pages, records),
    ...settingRemarks(pages, records),
    ...verdictRemarks(records),
    ...hourRemarks(records),
    ...errorRemarks(records),
  ];
  const hourCounters = hourCountersOfAta(records);
  return { identity: ataIdentity(pages, records), readings, hourCounters, remarks };
}

function temperatureReadings(records: AtaRecords): readonly Reading[] {
  const fromSct = (field: 'temperature' | 'highestEver'): Told<number> =>
    thenTold(records.sct, (sct) => notNull(sct[field], 'The drive marks it as not measured (80h)'));
  const fromAttribute = (id: number): Candidate => ({
    source: `attribute ${id}, first raw byte`,
    told: thenTold(records.attribute(id), temperature),
  });
  return [
    chooseFigure({ metric: 'temperature' }, [
      statisticCandidate(records, 'current temperature'),
      { source: 'SCT status, temperature', told: fromSct('temperature') },
      fromAttribute(194),
      fromAttribute(190),
    ]),
    chooseFigure({ metric: 'temperature-highest' }, [
      statisticCandidate(records, 'highest temperature'),
      { source: 'SCT status, highest ever', told: fromSct('highestEver') },
      highestByWords(records),
    ]),
    chooseFigure({ metric: 'temperature-limit' }, [temperatureLimit(records)]),
    chooseFigure({ metric: 'time-over-temperature' }, [
      statisticCandidate(records, 'minutes over temperature'),
    ]),
  ];
}

/** A limit of 0 °C or less is a field that the maker left empty. */
function temperatureLimit(records: AtaRecords): Candidate {
  const { source, told: from } = statisticCandidate(
    records,
    'specified maximum operating temperature',
  );
  const limit = thenTold(from, (value) =>
    value > 0 ? told(value) : untold<number>(`The drive gives ${value} °C, which is no limit`),
  );
  return { source, told: limit };
}

function amountReadings(records: AtaRecords): readonly Reading[] {
  const written = statisticCandidate(records, 'logical sectors written');
  const read = statisticCandidate(records, 'logical sectors read');
  const used = statisticCandidate(records, 'percentage used');
  const full = used.told.told && used.told.value === 255 ? { text: '255 % or more' } : {};
  return [
    chooseFigure({ metric: 'bytes-written' }, [inBytes(records, written)]),
    chooseFigure({ metric: 'bytes-read' }, [inBytes(records, read)]),
    chooseFigure({ metric: 'endurance-used' }, [{ ...used, ...full }]),
  ];
}

function inBytes(records: AtaRecords, sectors: Candidate): Candidate {
  const bytes = thenTold(sectors.told, (count) => {
    if (!records.identify.told) {
      return untold<number>(`The size of a sector is not known. ${records.identify.why}`);
    }
    const product = BigInt(count) * BigInt(records.identify.value.logicalBlockBytes);
    return notNull(exactNumber(product), `${product} is too large to be told exactly`);
  });
  return { source: sectors.source, told: bytes };
}

function powerMode(pages: PageAnswers): Reading {
  const registers = pages.read({ record: 'power-mode' }, (data) =>
    decodeTaskFile('Power mode', data),
  );
  const mode = thenTold(registers, ({ failed, count }) =>
    failed ? untold<number>('The drive ended the question with an error') : told(count % 256),
  );
  const text = mode.told ? powerModeWords(mode.value) : undefined;
  return onlyFigure('power-mode', 'CHECK POWER MODE', mode, text);
}

function linkReadings(records: AtaRecords): readonly Reading[] {
  const speed = (field: 'linkSpeedRunning' | 'linkSpeedPossible') =>
    thenTold(records.identify, (identify) =>
      notNull(identify[field], 'The drive does not tell its link speed'),
    );
  return [
    onlyFigure('sata-link-speed', 'IDENTIFY DEVICE word 77', speed('linkSpeedRunning')),
    onlyFigure('sata-link-speed-possible', 'IDENTIFY DEVICE word 76', speed('linkSpeedPossible')),
  ];
}
