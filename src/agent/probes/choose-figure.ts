import { metricInfo } from '../../checks/metrics.js';
import { absent, measured, type Reading } from '../../checks/reading.js';
import type { AbsentState, Told } from './told.js';

/** One record that could tell a figure. */
export interface Candidate {
  readonly source: string;
  readonly told: Told<number>;
  /** Meaning of a code in plain words. */
  readonly text?: string;
}

/** Of several reasons the one that a person can do something about comes first. */
const order: readonly AbsentState[] = ['asleep', 'not-visible', 'box-off', 'no-figure'];

/** The first record that told the figure gives it; else all reasons are told together. */
export function chooseFigure(
  figure: { readonly metric: string; readonly place?: string },
  candidates: readonly Candidate[],
): Reading {
  const { unit } = metricInfo(figure.metric);
  for (const { source, told, text } of candidates) {
    if (told.told) return measured({ ...figure, unit, source }, told.value, text);
  }
  const reasons = candidates.flatMap(({ told }) => (told.told ? [] : [told]));
  const state = order.find((one) => reasons.some((reason) => reason.state === one));
  const whys = reasons.filter((reason) => reason.state === state).map((reason) => reason.why);
  const source = candidates.map((candidate) => candidate.source).join(', else ');
  return absent({ ...figure, unit, source }, state ?? 'no-figure', [...new Set(whys)].join('; '));
}

/** A figure that only one record can tell. */
export function onlyFigure(
  metric: string,
  source: string,
  told: Told<number>,
  text?: string,
): Reading {
  return chooseFigure({ metric }, [{ source, told, ...(text === undefined ? {} : { text }) }]);
}
