import type { Capture } from '../../checks/capture.js';
import type { Reading } from '../../checks/reading.js';
import {
  decodeBackgroundScan,
  enduranceUsed,
  exceptionsTemperature,
  type LogParameters,
  logCounter,
  logTemperature,
} from '../box/layouts/scsi-logs.js';
import { type Candidate, chooseFigure, onlyFigure } from './choose-figure.js';
import { scsiAbilityReadings, zoneRemarks } from './interpret-scsi-abilities.js';
import { scsiCountReadings } from './interpret-scsi-counts.js';
import { scsiErrorReadings } from './interpret-scsi-errors.js';
import { scsiIdentity, scsiIdentityRemarks } from './interpret-scsi-identity.js';
import { furtherHours, makersReadings, sasLinkReadings } from './interpret-scsi-link.js';
import { scsiModeReadings, scsiModeRemarks } from './interpret-scsi-mode.js';
import { scanReadings } from './interpret-scsi-scan.js';
import { scsiSelfTestReadings, scsiSelfTestStamps } from './interpret-scsi-self-test.js';
import { scsiVerdict } from './interpret-scsi-verdict.js';
import type { Interpretation } from './interpretation.js';
import type { PageAnswers } from './page-answers.js';
import { powerModeWords } from './power-mode-words.js';
import { readScsiRecords, type ScsiRecords } from './scsi-records.js';
import { notNull, type Told, thenTold, told, untold } from './told.js';

export function interpretScsi(_capture: Capture, pages: PageAnswers): Interpretation {
  const records = readScsiRecords(pages);
  const hours = powerOnHours(records);
  return {
    identity: scsiIdentity(pages),
    readings: [
      scsiVerdict(records),
      onlyFigure('power-on-hours', hoursSource, hours),
      ...temperatureReadings(pages, records),
      ...scsiErrorReadings(pages, records),
      ...movementReadings(records),
      enduranceReading(records),
      ...scsiSelfTestReadings(records),
      powerMode(records),
      ...sasLinkReadings(pages, records),
      ...makersReadings(pages, records),
      ...scsiCountReadings(pages, records),
      ...scanReadings(pages, records),
      ...scsiModeReadings(pages),
      ...scsiAbilityReadings(pages, records),
    ],
    hourCounters: [
      { name: 'Power-on hours', hours: hours.told ? hours.value : null, source: hoursSource },
      ...scsiSelfTestStamps(records),
      ...furtherHours(pages, records),
    ],
    remarks: [
      ...scsiIdentityRemarks(pages, records),
      ...scsiModeRemarks(pages),
      ...zoneRemarks(pages),
    ],
  };
}

const hoursSource = 'LOG SENSE page 15h, power-on minutes';

/** Minutes are kept to a hundredth of an hour. */
function powerOnHours(records: ScsiRecords): Told<number> {
  return records.log(0x15, (parameters) => {
    const scan = decodeBackgroundScan(parameters);
    if (scan === null) return untold<number>('The page holds no power-on minutes');
    if (scan.powerOnMinutes === 0xffff_ffff)
      return untold<number>('The minutes are marked as none');
    return told(Math.round((scan.powerOnMinutes * 100) / 60) / 100);
  });
}

function temperatureReadings(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  const celsius = (code: 0 | 1) =>
    records.log(0x0d, (parameters) =>
      notNull(logTemperature(parameters, code), 'The drive gives no figure there (FFh)'),
    );
  return [
    chooseFigure({ metric: 'temperature' }, [
      { source: 'LOG SENSE page 0Dh, temperature', told: celsius(0) },
      ...besideVerdict(pages, records),
    ]),
    onlyFigure('temperature-limit', 'LOG SENSE page 0Dh, reference temperature', celsius(1)),
  ];
}

/** The verdict's page tells a temperature too, on drives that keep no page for it. */
function besideVerdict(pages: PageAnswers, records: ScsiRecords): readonly Candidate[] {
  if (!pages.answered({ record: 'log-sense', log: 0x2f })) return [];
  const celsius = records.log(0x2f, (parameters) =>
    notNull(exceptionsTemperature(parameters), 'The page holds no temperature'),
  );
  return [{ source: 'LOG SENSE page 2Fh, temperature', told: celsius }];
}

function movementReadings(records: ScsiRecords): readonly Reading[] {
  const count = (code: number) => records.log(0x0e, counterOf(code));
  return [
    onlyFigure('start-stops', 'LOG SENSE page 0Eh, start-stop cycles', count(4)),
    onlyFigure('head-loads', 'LOG SENSE page 0Eh, load-unload cycles', count(6)),
  ];
}

export function counterOf(code: number): (parameters: LogParameters) => Told<number> {
  return (parameters) =>
    notNull(logCounter(parameters, code), `The page holds no figure for parameter ${code}`);
}

function enduranceReading(records: ScsiRecords): Reading {
  const used = records.log(0x11, (parameters) =>
    notNull(enduranceUsed(parameters), 'The page holds no endurance figure'),
  );
  const text = used.told && used.value === 255 ? '255 % or more' : undefined;
  return onlyFigure('endurance-used', 'LOG SENSE page 11h, percentage used', used, text);
}

function powerMode({ condition }: ScsiRecords): Reading {
  const mode = thenTold(condition, ({ powerMode: code }) =>
    notNull(code, 'The sense data names no power mode'),
  );
  const text = mode.told ? powerModeWords(mode.value) : undefined;
  const candidate = { source: 'REQUEST SENSE', told: mode };
  return chooseFigure({ metric: 'power-mode' }, [
    text === undefined ? candidate : { ...candidate, text },
  ]);
}
