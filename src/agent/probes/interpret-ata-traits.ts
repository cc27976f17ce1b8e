import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import {
  decodeIdentifyStrings,
  decodeOpenZones,
  decodeOwnMemory,
  decodeTrustedComputing,
  type EitherOrder,
} from '../box/layouts/ata-identify-log.js';
import type { SmartData } from '../box/layouts/ata-smart.js';
import { type AtaLock, type AtaTraits, decodeAtaTraits } from '../box/layouts/ata-traits.js';
import type { AtaRecords } from './ata-records.js';
import type { PageAnswers } from './page-answers.js';

/** What kind of thing the drive is and which tests it has; what is not told is left out. */
export function traitReadings(pages: PageAnswers, records: AtaRecords): readonly Reading[] {
  const traits = pages.read({ record: 'identify-device' }, decodeAtaTraits);
  return [
    ...(traits.told ? ofIdentify(traits.value, records) : []),
    ...(records.smart.told ? selfTests(records.smart.value) : []),
    ...identifyLog(pages),
    ...namesAgree(pages, records),
  ];
}

interface About {
  readonly metric: string;
  readonly place?: string;
  readonly source: string;
}

function figure(about: About, value: number, text?: string): Reading {
  return measured({ ...about, unit: metricInfo(about.metric).unit }, value, text);
}

function setting(place: string, value: number, text: string): Reading {
  return figure({ metric: 'drive-setting', place, source: 'IDENTIFY DEVICE' }, value, text);
}

function ofIdentify(traits: AtaTraits, { identify }: AtaRecords): readonly Reading[] {
  const { formFactor, standard, firstAligned, zeroAfterTrim, incomplete, lock, restSteps } = traits;
  const canLock = identify.told && identify.value.security.supported;
  return [
    ...(formFactor === null ? [] : [setting('form factor', 1, formFactor)]),
    ...(standard === null ? [] : [setting('standard', 1, standard)]),
    ...(firstAligned === null
      ? []
      : [setting('first aligned sector', firstAligned, `${firstAligned}`)]),
    ...(incomplete ? [setting('identity', 0, 'not complete before the drive is started')] : []),
    ...(restSteps === null
      ? []
      : [setting('steps of rest', restSteps === 'on' ? 1 : 0, restSteps)]),
    ...(zeroAfterTrim ? [setting('zeros after trim', 1, 'there')] : []),
    ...(canLock ? [setting('password lock', lock.locked ? 1 : 0, lockWords(lock))] : []),
  ];
}

function lockWords({ locked, frozen, triesUsedUp }: AtaLock): string {
  return [
    locked ? 'locked' : 'open',
    ...(frozen ? ['frozen until power-off'] : []),
    ...(triesUsedUp ? ['no more tries'] : []),
  ].join(', ');
}

/** Which self-tests there are and how long the drive says that they take. */
function selfTests(smart: SmartData): readonly Reading[] {
  const { abilities } = smart;
  const kinds = [
    ...(abilities.selfTest ? ['short', 'extended'] : []),
    ...(abilities.conveyanceTest ? ['conveyance'] : []),
    ...(abilities.selectiveTest ? ['selective'] : []),
  ];
  const about = { metric: 'drive-setting', place: 'self-tests', source: 'SMART data byte 367' };
  const times = [
    ['short', abilities.selfTest ? smart.shortTestMinutes : null],
    ['extended', abilities.selfTest ? smart.extendedTestMinutes : null],
    ['conveyance', abilities.conveyanceTest ? smart.conveyanceTestMinutes : null],
  ] as const;
  return [
    figure(about, kinds.length, kinds.length === 0 ? 'not there' : kinds.join(', ')),
    ...times.flatMap(([place, minutes]) =>
      minutes === null
        ? []
        : [figure({ metric: 'self-test-time', place, source: 'SMART data' }, minutes)],
    ),
  ];
}

const logNumber = 0x30;

/** A page of the log in question, where it was asked for and keeps a figure; else null. */
function logged<T>(
  pages: PageAnswers,
  page: number,
  decode: (data: Uint8Array) => T | null,
): T | null {
  const name = { record: 'log', log: logNumber, page } as const;
  if (!pages.answered(name)) return null;
  const found = pages.read(name, decode);
  return found.told ? found.value : null;
}

function identifyLog(pages: PageAnswers): readonly Reading[] {
  const memory = logged(pages, 2, decodeOwnMemory);
  const trusted = logged(pages, 6, decodeTrustedComputing);
  const zones = logged(pages, 9, decodeOpenZones);
  const of = (page: number) => `log 30h page ${page}`;
  const place = (name: string, page: number) => {
    return { metric: 'drive-setting', place: name, source: of(page) };
  };
  return [
    ...(memory === null ? [] : [figure({ metric: 'drive-memory', source: of(2) }, memory)]),
    ...(trusted === null
      ? []
      : [figure(place('trusted computing', 6), trusted ? 1 : 0, trusted ? 'there' : 'not there')]),
    ...(zones === null
      ? []
      : [figure(place('zones written at once', 9), zones, `${zones} at most`)]),
  ];
}

/**
 * Two records of who the drive is: something in between would have to forge both. Where not one of
 * the texts agrees the page is taken to be laid out in a way that we do not know, and is left out.
 */
function namesAgree(pages: PageAnswers, { identify }: AtaRecords): readonly Reading[] {
  const second = logged(pages, 5, decodeIdentifyStrings);
  if (second === null || !identify.told) return [];
  const compared = names.flatMap((name) => compare(name, identify.value[name], second[name]));
  if (!compared.some(({ value }) => value === 0)) return [];
  return compared;
}

const names = ['serial', 'model', 'firmware'] as const;

/** A text that either record leaves empty is not compared. */
function compare(place: string, first: string, other: EitherOrder): readonly Reading[] {
  if (first === '' || other[0] === '') return [];
  const differs = !other.includes(first);
  const words = differs ? `"${first}" in the one, "${other[0]}" in the other` : 'the same in both';
  const about = { metric: 'records-disagree', place, source: 'IDENTIFY DEVICE, log 30h page 5' };
  return [figure(about, differs ? 1 : 0, words)];
}
