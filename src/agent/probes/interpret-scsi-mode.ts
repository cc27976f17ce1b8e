import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import {
  decodeCachingMode,
  decodeErrorRecoveryMode,
  decodeExceptionsMode,
  type ErrorRecoveryMode,
} from '../box/layouts/scsi-mode.js';
import { chooseFigure } from './choose-figure.js';
import type { PageAnswers } from './page-answers.js';
import { type Told, thenTold, told, untold } from './told.js';

const recoveryPage = { record: 'mode-sense', page: 0x01 } as const;
const cachingPage = { record: 'mode-sense', page: 0x08 } as const;
const exceptionsPage = { record: 'mode-sense', page: 0x1c } as const;

/**
 * Settings that a SCSI drive keeps in its mode pages. They are asked for once, when idle: another
 * round is silent, so that the figure of the round that asked stays the newest.
 */
export function scsiModeReadings(pages: PageAnswers): readonly Reading[] {
  return [...recoveryFigures(pages), ...cacheSettings(pages), ...predictionSetting(pages)];
}

function recoveryFigures(pages: PageAnswers): readonly Reading[] {
  if (!pages.asked(recoveryPage)) return [];
  const mode = pages.read(recoveryPage, decodeErrorRecoveryMode);
  const source = 'mode page 01h';
  const limit = chooseFigure({ metric: 'error-recovery-time-limit' }, [
    { source: `${source}, recovery time limit`, told: thenTold(mode, limitOf) },
  ]);
  if (!mode.told) return [limit];
  const { readRetries, writeRetries, movesOnWrite, movesOnRead, writeProtected } = mode.value;
  const retries = (place: string, value: number) =>
    measured({ metric: 'error-retries', place, unit: 'count', source }, value);
  return [
    limit,
    retries('reading', readRetries),
    retries('writing', writeRetries),
    setting('moving bad places, writing', movesOnWrite, source),
    setting('moving bad places, reading', movesOnRead, source),
    setting('write protection', writeProtected, source),
  ];
}

/** Neither value is a time: what they mean differs from maker to maker (SBC, from memory). */
function limitOf({ limitMs }: ErrorRecoveryMode): Told<number> {
  if (limitMs === 0) return untold('The drive gives 0: it keeps to a limit that it does not tell');
  if (limitMs === 0xffff) return untold('The drive gives FFFFh: no limit that it tells');
  return told(limitMs);
}

function cacheSettings(pages: PageAnswers): readonly Reading[] {
  const mode = pages.asked(cachingPage) ? pages.read(cachingPage, decodeCachingMode) : null;
  if (mode === null || !mode.told) return [];
  const source = 'mode page 08h';
  return [
    setting('write cache', mode.value.writeCache, source),
    setting('read cache', mode.value.readCache, source),
    setting('read ahead', mode.value.readAhead, source),
  ];
}

function predictionSetting(pages: PageAnswers): readonly Reading[] {
  const mode = predictionOf(pages);
  if (mode === null || !mode.told) return [];
  return [
    setting('prediction of failure', mode.value.predicts, 'mode page 1Ch'),
    setting('warnings', mode.value.warns, 'mode page 1Ch'),
  ];
}

function predictionOf(pages: PageAnswers) {
  return pages.asked(exceptionsPage) ? pages.read(exceptionsPage, decodeExceptionsMode) : null;
}

function setting(place: string, on: boolean, source: string): Reading {
  const metric = 'drive-setting';
  const { unit } = metricInfo(metric);
  return measured({ metric, place, unit, source }, on ? 1 : 0, on ? 'on' : 'off');
}

/** What a person should know before believing or using the drive. */
export function scsiModeRemarks(pages: PageAnswers): readonly string[] {
  const recovery = pages.asked(recoveryPage)
    ? pages.read(recoveryPage, decodeErrorRecoveryMode)
    : null;
  const prediction = predictionOf(pages);
  const remarks: string[] = [];
  if (recovery?.told && recovery.value.writeProtected) {
    remarks.push('The drive is set to refuse writes');
  }
  if (prediction?.told && !prediction.value.predicts) {
    remarks.push('The drive’s prediction of failure is switched off: its verdict tells little');
  }
  if (prediction?.told && prediction.value.testing) {
    remarks.push('The drive is set to report a made-up failure, to try the way of the message');
  }
  return remarks;
}
