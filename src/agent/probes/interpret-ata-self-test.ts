import type { Reading } from '../../checks/reading.js';
import type { AtaSelfTest } from '../box/layouts/ata-self-test.js';
import type { AtaRecords } from './ata-records.js';
import { type Candidate, chooseFigure, onlyFigure } from './choose-figure.js';
import { selfTestResultWords, selfTestWords } from './self-test-words.js';
import { type Told, thenTold, told, untold } from './told.js';

/** Result of the newest finished self-test, and how much of a running one is left. */
export function selfTestReadings(records: AtaRecords): readonly Reading[] {
  const result = chooseFigure({ metric: 'self-test-result' }, [
    fromLog(records.extendedSelfTests, 'extended self-test log 07h, newest finished entry'),
    fromLog(records.selfTests, 'self-test log 06h, newest finished entry'),
    fromStatusByte(records),
  ]);
  const left = thenTold(records.smart, ({ selfTest }) =>
    selfTest.code === 15 ? told(selfTest.percentLeft) : untold<number>('No self-test is running'),
  );
  return [result, onlyFigure('self-test-running', 'SMART data byte 363', left)];
}

function fromLog(log: Told<readonly AtaSelfTest[]>, source: string): Candidate {
  const newest = thenTold(log, (tests) => {
    const finished = tests.find((test) => test.code !== 15);
    return finished === undefined ? untold<AtaSelfTest>('The log holds no test') : told(finished);
  });
  const code = thenTold(newest, (test) => told(test.code));
  return newest.told ? { source, told: code, text: words(newest.value) } : { source, told: code };
}

function words(test: AtaSelfTest): string {
  const left = test.percentLeft > 0 && test.code > 0 ? ` with ${test.percentLeft} % left` : '';
  const place = test.failingLba === null ? '' : `, first failing sector ${test.failingLba}`;
  const result = selfTestResultWords('ata', test.code);
  return `${selfTestWords('ata', test.test)} ${result}${left} at ${test.hours} h${place}`;
}

/** Code 0 of the status byte means "completed" and "never run" alike, so it is no result. */
function fromStatusByte(records: AtaRecords): Candidate {
  const source = 'SMART data byte 363';
  const status = thenTold(records.smart, ({ selfTest }) => {
    if (selfTest.code === 0) {
      return untold<number>('The status byte says "completed or never run", which is no result');
    }
    if (selfTest.code === 15) return untold<number>('A self-test is running');
    return told(selfTest.code);
  });
  if (!status.told) return { source, told: status };
  return {
    source,
    told: status,
    text: `Last self-test ${selfTestResultWords('ata', status.value)}`,
  };
}
