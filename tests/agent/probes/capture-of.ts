import { readFileSync } from 'node:fs';
import { parseCaptureFile } from '../../../src/agent/box/layouts/capture-file.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import type { Interpretation } from '../../../src/agent/probes/interpretation.js';
import type { Capture } from '../../../src/checks/capture.js';
import type { Reading } from '../../../src/checks/reading.js';
import { captureFolder } from '../box/layouts/load-hex.js';

export function captureOf(name: string): Capture {
  return parseCaptureFile(readFileSync(new URL(`${name}.json`, captureFolder), 'utf8'));
}

export function interpreted(name: string): Interpretation {
  return interpret(captureOf(name));
}

export function reading(found: Interpretation, metric: string, place?: string): Reading {
  const match = found.readings.filter((one) => one.metric === metric && one.place === place);
  if (match.length !== 1 || match[0] === undefined) {
    throw new Error(`${match.length} readings of ${metric}, expected one`);
  }
  return match[0];
}

/** Value of a measured reading, or the state of one without a value. */
export function figure(found: Interpretation, metric: string, place?: string): number | string {
  const { state, value } = reading(found, metric, place);
  return state === 'measured' && value !== null ? value : state;
}

/** The figures of the named metrics, for comparing with a table of literals. */
export function figures(found: Interpretation, expected: Readonly<Record<string, unknown>>) {
  return Object.fromEntries(Object.keys(expected).map((metric) => [metric, figure(found, metric)]));
}
