import type { Capture } from '../../checks/capture.js';
import type { Reading } from '../../checks/reading.js';
import {
  decodeBackgroundScan,
  enduranceUsed,
  type LogParameters,
  logCounter,
  logTemperature,
} from '../box/layouts/scsi-logs.js';
import { chooseFigure, onlyFigure } from './choose-figure.js';
import { scsiErrorReadings } from './interpret-scsi-errors.js';
import { scsiIdentity, scsiIdentityRemarks } from './interpret-scsi-identity.js';
import { furtherHours, makersReadings, sasLinkReadings } from './interpret-scsi-link.js';
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
      ...temperatureReadings(records),
      ...scsiErrorReadings(records),
      ...movementReadings(records),
      enduranceReading(records),
      ...scsiSelfTestReadings(records),
      recoveryLimit(),
      powerMode(records),
      ...sasLinkReadings(pages, records),
      ...makersReadings(pages, records),
    ],
    hourCounters: [
      { name: 'Power-on hours', hours: hours.told ? hours.value : null, source: hoursSource },
      ...scsiSelfTestStamps(records),
      ...furtherHours(pages, records),
    ],
    remarks: scsiIdentityRemarks(pages, records),
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

function temperatureReadings(records: ScsiRecords): readonly Reading[] {
  const celsius = (code: 0 | 1) =>
    records.log(0x0d, (parameters) =>
      notNull(logTemperature(parameters, code), 'The drive gives no figure there (FFh)'),
    );
  return [
    onlyFigure('temperature', 'LOG SENSE page 0Dh, temperature', celsius(0)),
    onlyFigure('temperature-limit', 'LOG SENSE page 0Dh, reference temperature', celsius(1)),
  ];
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

function recoveryLimit(): Reading {
  const why = 'SCSI drives keep it in a mode page, which a capture does not hold';
  return onlyFigure('error-recovery-time-limit', 'mode page 01h', untold(why));
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
