import type { Check, CheckInput, SeriesHistory } from '../check.js';
import type { CheckResult } from '../finding.js';
import {
  absenceWords,
  cannotTell,
  evidenceOf,
  newestNumber,
  numberLook,
  openFinding,
  seriesOf,
} from '../history.js';
import { agreed } from './two-looks.js';

/** Degrees below the limit from which it is no finding any more (our choice). */
const returnCelsius = 3;

/**
 * Claim: the module in the plug stays below the warmth at which it warns. Opens and clears when two
 * readings of one boot agree; clears 3 degrees below. Silent without a module that measures itself;
 * cannot be told where the module names no limit (SFF-8472 and SFF-8636, from memory).
 */
export const moduleWarm: Check = {
  code: 'module-warm',
  claim: 'The module in the plug stays below the warmth at which it warns',
  judge: (input) => {
    const series = placed(input, 'temperature', 'module');
    if (input.kind !== 'network-card' || series === null) return [];
    const limit = newestNumber(placed(input, 'temperature-limit', 'module'));
    const about = aboutOf(input, 'module-warm', series);
    const last = numberLook(series.looks.at(-1));
    if (last === null) return [cannotTell(about, absenceWords(series))];
    if (limit === null) return [cannotTell(about, 'The module names no limit of its warmth')];
    const margin = openFinding(input, about.code) === null ? 0 : returnCelsius;
    return [
      {
        ...about,
        ...agreed(series, (value) => value >= limit.value - margin),
        urgency: 'soon',
        measured: last.value,
        expected: limit.value,
        evidence: [
          evidenceOf('The module', last, 'celsius'),
          evidenceOf('It warns from', limit, 'celsius'),
        ],
      },
    ];
  },
};

/**
 * Claim: enough light comes in at the module. Expected: above the light at which it warns. Judged
 * only while the card has a link: without one nobody may be at the other end. Opens and clears when
 * two readings of one boot agree. One result for each way of light.
 */
export const moduleLight: Check = {
  code: 'module-light-low',
  claim: 'Enough light comes in at the module in the plug',
  judge: (input) =>
    input.kind === 'network-card'
      ? seriesOf(input, 'optical-power')
          .filter(({ place }) => place.startsWith('light received'))
          .flatMap((series) => judgeLight(input, series))
      : [],
};

function judgeLight(input: CheckInput, series: SeriesHistory): readonly CheckResult[] {
  const last = numberLook(series.looks.at(-1));
  const limit = newestNumber(placed(input, 'optical-power-limit', 'light received, lowest'));
  if (last === null || limit === null) return [];
  const about = { ...aboutOf(input, 'module-light-low', series), place: series.place };
  if (!hasLink(input)) return [cannotTell(about, 'The card has no link: perhaps nobody sends')];
  return [
    {
      ...about,
      ...agreed(series, (value) => value < limit.value),
      urgency: 'soon',
      measured: last.value,
      expected: limit.value,
      evidence: [
        evidenceOf(upperFirst(series.place), last, 'microwatts'),
        evidenceOf('It warns below', limit, 'microwatts'),
      ],
    },
  ];
}

function aboutOf(
  { subject }: CheckInput,
  code: 'module-warm' | 'module-light-low',
  { unit }: SeriesHistory,
) {
  return { code, subject, unit, source: 'the module’s own limit' } as const;
}

function hasLink(input: CheckInput): boolean {
  const [rate] = seriesOf(input, 'network-rate');
  return (numberLook(rate?.looks.at(-1))?.value ?? 0) > 0;
}

function placed({ series }: CheckInput, metric: string, place: string): SeriesHistory | null {
  return series.find((one) => one.metric === metric && one.place === place) ?? null;
}

function upperFirst(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
