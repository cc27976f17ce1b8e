import type { Reading } from '../../checks/reading.js';
import { noRecoveryLimit } from '../../checks/recovery-limit.js';
import { decodeRecoveryTime } from '../box/layouts/ata-recovery-time.js';
import type { AtaRecords } from './ata-records.js';
import { chooseFigure, onlyFigure } from './choose-figure.js';
import type { PageAnswers } from './page-answers.js';
import { type Told, thenTold, told, untold } from './told.js';

const metric = 'error-recovery-time-limit';
const record = 'sct-error-recovery';
const timers = [
  { page: 1, source: 'SCT error recovery control, read timer' },
  { page: 2, source: 'SCT error recovery control, write timer', place: 'writing' },
] as const;

const noneWords = {
  off: noRecoveryLimit.off,
  refused: 'The drive did not tell its timer',
  echo: 'The path gave the question’s own registers back: what the drive said is not known',
} as const;

/**
 * How long the drive tries before it gives up on a sector. A round that did not ask is silent, so
 * that the figure of the round that did ask stays; the timers are lost when the power goes.
 */
export function recoveryReadings(pages: PageAnswers, records: AtaRecords): readonly Reading[] {
  const [first] = timers;
  const able = thenTold(records.identify, ({ sct }) =>
    sct.errorRecoveryControl ? told(true) : untold<boolean>(noRecoveryLimit.never),
  );
  if (!able.told) return [onlyFigure(metric, first.source, able)];
  return timers
    .filter(({ page }) => pages.asked({ record, page }))
    .map(({ page, source, ...rest }) =>
      chooseFigure({ metric, ...rest }, [{ source, told: limit(pages, page) }]),
    );
}

function limit(pages: PageAnswers, page: number): Told<number> {
  return thenTold(pages.read({ record, page }, decodeRecoveryTime), (time) =>
    'none' in time ? untold<number>(noneWords[time.none]) : told(time.milliseconds),
  );
}
