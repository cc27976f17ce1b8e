import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import type { PageName } from '../../checks/record-words.js';
import type { NvmeController } from '../box/layouts/nvme.js';
import {
  decodeHostManagedHeat,
  decodeTemperatureThreshold,
  decodeVolatileWriteCache,
  type HostManagedHeat,
  nvmeFeature,
} from '../box/layouts/nvme-features.js';
import { type Candidate, chooseFigure } from './choose-figure.js';
import type { PageAnswers } from './page-answers.js';
import { notNull, type Told, thenTold } from './told.js';

/** How an NVMe drive is set; silent in a round that did not ask for it. */
export function nvmeSettingReadings(
  pages: PageAnswers,
  controller: Told<NvmeController>,
): readonly Reading[] {
  return [
    ...thresholds(pages),
    ...heat(pages),
    ...cache(pages, controller),
    ...(controller.told ? ofController(controller.value) : []),
  ];
}

function feature(page: number, subpage = 0): PageName {
  return { record: 'nvme-feature', page, subpage };
}

/** Past these two the drive raises its warning; they are set by whoever runs it. */
function thresholds(pages: PageAnswers): readonly Reading[] {
  return (['above', 'below'] as const).flatMap((side, subpage) => {
    const name = feature(nvmeFeature.temperatureThreshold, subpage);
    if (!pages.asked(name)) return [];
    const told = thenTold(pages.read(name, decodeTemperatureThreshold), (celsius) =>
      notNull(celsius, `No threshold is set (${side})`),
    );
    return [limit(`set to warn ${side}`, { source: `Get Features 04h, ${side}`, told })];
  });
}

function heat(pages: PageAnswers): readonly Reading[] {
  const name = feature(nvmeFeature.hostManagedHeat);
  if (!pages.asked(name)) return [];
  const set = pages.read(name, decodeHostManagedHeat);
  const from = (place: string, field: keyof HostManagedHeat) => {
    const told = thenTold(set, (found) => notNull(found[field], 'It is not told to slow itself'));
    return limit(place, { source: 'Get Features 10h', told });
  };
  return [from('slows a little from', 'slowsALittle'), from('slows more from', 'slowsMore')];
}

function limit(place: string, candidate: Candidate): Reading {
  return chooseFigure({ metric: 'temperature-limit', place }, [candidate]);
}

/** A drive without such a cache is not asked for it, and says so by its controller page. */
function cache(pages: PageAnswers, controller: Told<NvmeController>): readonly Reading[] {
  const place = 'write cache';
  const on = pages.read(feature(nvmeFeature.volatileWriteCache), decodeVolatileWriteCache);
  const source = 'Get Features 06h';
  if (on.told) {
    return [setting(place, { on: on.value, text: on.value ? 'on' : 'off', source })];
  }
  if (!controller.told || controller.value.volatileWriteCache) return [];
  const text = 'not there, or it keeps its content without power';
  return [setting(place, { on: false, text, source: 'Identify Controller' })];
}

/** Whether there are self-tests, how long the extended one takes, and trim. */
function ofController({ trim, selfTestSupported, extendedTestMinutes }: NvmeController) {
  const source = 'Identify Controller';
  const metric = 'self-test-time';
  const minutes = { metric, place: 'extended', unit: metricInfo(metric).unit, source };
  return [
    setting('trim', { on: trim, text: trim ? 'there' : 'not there', source }),
    setting('self-tests', {
      on: selfTestSupported,
      text: selfTestSupported ? kinds : 'not there',
      source,
    }),
    ...(selfTestSupported && extendedTestMinutes > 0
      ? [measured(minutes, extendedTestMinutes)]
      : []),
  ];
}

const kinds = 'short, extended';

interface Setting {
  readonly on: boolean;
  readonly text: string;
  readonly source: string;
}

function setting(place: string, { on, text, source }: Setting): Reading {
  const metric = 'drive-setting';
  return measured({ metric, place, unit: metricInfo(metric).unit, source }, on ? 1 : 0, text);
}
