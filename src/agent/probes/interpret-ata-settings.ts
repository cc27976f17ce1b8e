import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import { decodeCapacityPage } from '../box/layouts/ata-capacity.js';
import { decodeSctTemperatures, type SctTemperatures } from '../box/layouts/ata-sct.js';
import { type AtaSettings, decodeAtaSettings, type Setting } from '../box/layouts/ata-settings.js';
import type { AtaRecords } from './ata-records.js';
import { chooseFigure } from './choose-figure.js';
import type { PageAnswers } from './page-answers.js';
import { notNull, type Told, thenTold } from './told.js';

/** Settings of the drive: 1 on, 0 off, each with its words; what is not told is left out. */
export function settingReadings(pages: PageAnswers): readonly Reading[] {
  const settings = settingsOf(pages);
  if (!settings.told) return [];
  const { value } = settings;
  const figures: readonly (Reading | null)[] = [
    setting('write cache', value.writeCache),
    setting('read ahead', value.readAhead),
    setting('power levels', value.powerLevels, levelWords(value.powerLevel)),
    setting('standby at power-on', value.standbyAtPowerOn),
    setting('password', value.password),
    ability('trim', value.trim),
    ability('command queue', value.nativeQueue),
    listed('sanitize', value.sanitize),
    zones(value.zoned),
  ];
  return figures.filter((figure) => figure !== null);
}

function settingsOf(pages: PageAnswers): Told<AtaSettings> {
  return pages.read({ record: 'identify-device' }, decodeAtaSettings);
}

function figure(place: string, on: boolean, text: string): Reading {
  const metric = 'drive-setting';
  const { unit } = metricInfo(metric);
  return measured({ metric, place, unit, source: 'IDENTIFY DEVICE' }, on ? 1 : 0, text);
}

function setting(place: string, value: Setting | null, more = ''): Reading | null {
  return value === null ? null : figure(place, value === 'on', `${value}${more}`);
}

function levelWords(level: number | null): string {
  return level === null ? '' : `, level ${level} of 254`;
}

function ability(place: string, value: boolean | null): Reading | null {
  return value === null ? null : figure(place, value, value ? 'there' : 'not there');
}

function listed(place: string, ways: readonly string[] | null): Reading | null {
  if (ways === null) return null;
  return figure(place, ways.length > 0, ways.length > 0 ? ways.join(', ') : 'not there');
}

function zones(zoned: AtaSettings['zoned']): Reading | null {
  return zoned === null ? null : figure('zones', zoned !== 'no', zoned === 'no' ? 'none' : zoned);
}

/** What a person should know before using the drive. */
export function settingRemarks(pages: PageAnswers, records: AtaRecords): readonly string[] {
  const settings = settingsOf(pages);
  if (!settings.told) return [];
  const { standbyAtPowerOn, password, zoned } = settings.value;
  const locked = records.identify.told && records.identify.value.security.locked;
  return [
    ...(standbyAtPowerOn === 'on'
      ? ['The drive stays still at power-on until it is told to start (a setting, no fault)']
      : []),
    ...(password === 'on' && !locked ? ['A password is set in the drive'] : []),
    ...(zoned === 'host-aware' || zoned === 'managed by the drive'
      ? [`The drive writes in zones (${zoned}): long writes can become slow`]
      : []),
    ...capacityRemark(pages, records),
  ];
}

/** Two records of the capacity, which must agree. */
function capacityRemark(pages: PageAnswers, { identify }: AtaRecords): readonly string[] {
  const name = { record: 'log', log: 0x30, page: 2 } as const;
  if (!pages.answered(name) || !identify.told) return [];
  const logged = pages.read(name, decodeCapacityPage);
  if (!logged.told || logged.value === null || logged.value === identify.value.sectors) return [];
  return [
    `The drive tells two capacities: ${identify.value.sectors} sectors in IDENTIFY DEVICE, ${logged.value} in its log 30h`,
  ];
}

function historyOf(pages: PageAnswers) {
  return pages.read({ record: 'log', log: 0xe1 }, decodeSctTemperatures);
}

/** The warmest of the temperatures that the drive kept, with the span of all of them. */
function warmestKept(table: ReturnType<typeof historyOf>): Reading {
  const kept = thenTold(table, ({ kept: all }) =>
    notNull(all.length === 0 ? null : Math.max(...all), 'The drive kept no temperature'),
  );
  const text = table.told ? spanWords(table.value) : '';
  const candidate = { source: 'SCT temperature table, kept temperatures', told: kept, text };
  return chooseFigure({ metric: 'temperature-highest', place: 'kept history' }, [candidate]);
}

function spanWords({ kept, minutesApart }: SctTemperatures): string {
  const span = `${Math.min(...kept)} to ${Math.max(...kept)} °C`;
  return `${kept.length} temperatures, ${minutesApart} min apart, ${span}`;
}

/** Limits and history of the drive's own temperature table; silent where it was not asked for. */
export function tableLimits(pages: PageAnswers): readonly Reading[] {
  if (!pages.asked({ record: 'log', log: 0xe1 })) return [];
  const table = historyOf(pages);
  const limit = (place: string, field: 'highestRecommended' | 'highestAllowed') => {
    const celsius = thenTold(table, (found) =>
      notNull(found[field] === 0 ? null : found[field], 'The drive’s temperature table has none'),
    );
    const source = `SCT temperature table, ${place}`;
    return chooseFigure({ metric: 'temperature-limit', place }, [{ source, told: celsius }]);
  };
  return [
    limit('recommended', 'highestRecommended'),
    limit('allowed', 'highestAllowed'),
    warmestKept(table),
  ];
}
