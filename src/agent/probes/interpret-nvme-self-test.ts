import type { Reading } from '../../checks/reading.js';
import { hex } from '../box/layouts/bytes.js';
import type { NvmeSelfTest, NvmeSelfTestLog } from '../box/layouts/nvme.js';
import { onlyFigure } from './choose-figure.js';
import { selfTestResultWords, selfTestWords } from './self-test-words.js';
import { type Told, thenTold, told, untold } from './told.js';

export function nvmeSelfTestReadings(log: Told<NvmeSelfTestLog>): readonly Reading[] {
  const source = 'NVMe self-test log 06h';
  const newest = thenTold(log, ({ newestFirst }) => {
    const [test] = newestFirst;
    return test === undefined ? untold<NvmeSelfTest>('The log holds no test') : told(test);
  });
  const code = thenTold(newest, (test) => told(test.code));
  const left = thenTold(log, ({ running, percentDone }) =>
    running === 0
      ? untold<number>('No self-test is running')
      : told(Math.max(0, 100 - percentDone)),
  );
  const text = newest.told ? words(newest.value) : undefined;
  return [
    onlyFigure('self-test-result', `${source}, newest entry`, code, text),
    onlyFigure('self-test-running', `${source}, test under way`, left),
  ];
}

function words(test: NvmeSelfTest): string {
  const result = selfTestResultWords('nvme', test.code);
  const when = test.hours === null ? '' : ` at ${test.hours} h`;
  const place = test.failingLba === null ? '' : `, first failing block ${test.failingLba}`;
  const part = test.failingPart ? `, part ${test.failingPart} of the test` : '';
  const status = test.status === null ? '' : ` (status ${hex(test.status, 3)})`;
  return `${selfTestWords('nvme', test.test)} ${result}${when}${part}${place}${status}`;
}
