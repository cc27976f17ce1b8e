import type { HourCounter } from '../../checks/capture.js';
import type { Reading } from '../../checks/reading.js';
import { decodeScsiSelfTests, type ScsiSelfTest } from '../box/layouts/scsi-logs.js';
import { onlyFigure } from './choose-figure.js';
import type { ScsiRecords } from './scsi-records.js';
import { selfTestResultWords, selfTestWords } from './self-test-words.js';
import { type Told, thenTold, told, untold } from './told.js';

const source = 'LOG SENSE page 10h, newest finished entry';
const running = 15;

export function scsiSelfTestReadings(records: ScsiRecords): readonly Reading[] {
  const tests = readTests(records);
  const newest = thenTold(tests, (all) => {
    const finished = all.find((test) => test.code !== running);
    return finished === undefined ? untold<ScsiSelfTest>('The log holds no test') : told(finished);
  });
  const code = thenTold(newest, (test) => told(test.code));
  const text = newest.told ? words(newest.value) : undefined;
  return [
    onlyFigure('self-test-result', source, code, text),
    onlyFigure('self-test-running', 'REQUEST SENSE, progress', percentLeft(records, tests)),
  ];
}

function readTests(records: ScsiRecords): Told<readonly ScsiSelfTest[]> {
  return records.log(0x10, (parameters) => told(decodeScsiSelfTests(parameters)));
}

function percentLeft(records: ScsiRecords, tests: Told<readonly ScsiSelfTest[]>): Told<number> {
  return thenTold(records.condition, ({ selfTestPercentDone }) => {
    if (selfTestPercentDone !== null) return told(100 - selfTestPercentDone);
    const underWay = tests.told && tests.value.some((test) => test.code === running);
    return untold<number>(
      underWay ? 'A self-test is running, how much is left is not told' : 'No self-test is running',
    );
  });
}

function words(test: ScsiSelfTest): string {
  const result = selfTestResultWords('scsi', test.code);
  const hours = test.hours === 0xffff ? '65535 h or more' : `${test.hours} h`;
  const place =
    test.code === 0 || test.failingLba === null ? '' : `, first failing block ${test.failingLba}`;
  return `${selfTestWords('scsi', test.test)} ${result} at ${hours}${place}`;
}

/** The field stops at FFFFh; a running test keeps 0 there, which is no age. */
export function scsiSelfTestStamps(records: ScsiRecords): readonly HourCounter[] {
  const tests = readTests(records);
  const stamps = tests.told
    ? tests.value.filter((test) => test.code !== running).map((test) => test.hours)
    : [];
  const [newest] = stamps;
  if (newest === undefined) return [];
  const from = 'LOG SENSE page 10h, 16 bits, stops at 65 535';
  const latest = { name: 'Newest self-test', hours: newest, source: from };
  const highest = Math.max(...stamps);
  if (highest === newest) return [latest];
  return [latest, { ...latest, name: 'Highest self-test stamp', hours: highest }];
}
