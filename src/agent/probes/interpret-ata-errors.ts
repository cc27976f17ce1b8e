import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import type { AtaErrorLog } from '../box/layouts/ata-error-log.js';
import { decodeLinkCounters, linkCounterMeaning } from '../box/layouts/ata-link-counters.js';
import { decodeQueueError } from '../box/layouts/ata-queue-error.js';
import { hex } from '../box/layouts/bytes.js';
import type { AtaRecords } from './ata-records.js';
import { chooseFigure, onlyFigure } from './choose-figure.js';
import { errorWords, loggedErrorWords } from './logged-error-words.js';
import type { PageAnswers } from './page-answers.js';
import { type Told, thenTold, told } from './told.js';

const longLog = 'extended error log 03h';
const shortLog = 'error log 01h';

/**
 * Readings from logs that are read once a boot only: a round that did not ask for them says
 * nothing of them, so that the figure of the round that did ask stays the newest.
 */
export function errorReadings(pages: PageAnswers, records: AtaRecords): readonly Reading[] {
  return [...loggedErrors(pages, records), ...linkEvents(pages), ...queueError(pages)];
}

function asked(pages: PageAnswers, log: number): boolean {
  return pages.answered({ record: 'log', log });
}

/** The long log where there is one: the short one cannot hold every address. */
function loggedErrors(pages: PageAnswers, records: AtaRecords): readonly Reading[] {
  const logs = [
    { log: 0x03, source: longLog, found: records.extendedErrors },
    { log: 0x01, source: shortLog, found: records.errors },
  ].filter(({ log }) => asked(pages, log));
  if (logs.length === 0) return [];
  const counts = logs.map(({ source, found }) => ({
    source: `${source}, device error count`,
    told: thenTold(found, ({ count }) => told(count)),
  }));
  const [best] = logs.filter(({ found }) => found.told && found.value.entries.length > 0);
  const count = chooseFigure({ metric: 'errors-logged' }, counts);
  return best === undefined ? [count] : [count, ...newest(best.found, best.source)];
}

function newest(found: Told<AtaErrorLog>, source: string): readonly Reading[] {
  const [entry] = found.told ? found.value.entries : [];
  if (entry === undefined) return [];
  const name = `${source}, newest entry`;
  return [onlyFigure('last-error-logged', name, told(entry.error), loggedErrorWords(entry))];
}

function linkEvents(pages: PageAnswers): readonly Reading[] {
  if (!asked(pages, 0x11)) return [];
  const metric = 'link-events';
  const counters = pages.read({ record: 'log', log: 0x11 }, decodeLinkCounters);
  if (!counters.told) return [onlyFigure(metric, 'link counters 11h', counters)];
  const { unit } = metricInfo(metric);
  return counters.value.map(({ id, value, full }) => {
    const number = hex(id, 4);
    const place = linkCounterMeaning(id) ?? `counter ${number}, meaning not known`;
    const source = `link counters 11h, counter ${number}, since power-on`;
    return measured({ metric, place, unit, source }, value, full ? 'this many or more' : undefined);
  });
}

function queueError(pages: PageAnswers): readonly Reading[] {
  if (!asked(pages, 0x10)) return [];
  const found = pages.read({ record: 'log', log: 0x10 }, decodeQueueError);
  const code = thenTold(found, (last) => told(last?.error ?? 0));
  const last = found.told ? found.value : null;
  const queue = last?.queued ? `queue place ${last.tag}` : 'not queued';
  const text =
    last === null
      ? 'none since power-on'
      : `${errorWords(last.error, last.status)}, sector ${last.lba}, ${queue}`;
  const source = 'queued command error log 10h';
  return [onlyFigure('last-queue-error', source, code, code.told ? text : undefined)];
}

/** As many as a person reads. */
const remarksMax = 20;

/** Every kept error, newest first, each once: the short log repeats what the long one keeps. */
export function errorRemarks({ extendedErrors, errors }: AtaRecords): readonly string[] {
  const long = extendedErrors.told ? extendedErrors.value.entries : [];
  const short = errors.told ? errors.value.entries : [];
  const entries = long.length > 0 ? long : short;
  return entries.slice(0, remarksMax).map((entry) => `The drive logged ${loggedErrorWords(entry)}`);
}
