import { asLastRead, type FigureBeforeSleep } from '../checks/seen-figure.js';
import type { StatusFigure, StatusHours } from '../checks/status-report.js';
import { hourFigures } from '../checks/subjects.js';
import type { LatestReading } from './store/rows.js';

/** One figure of a part as `status` tells it to programs. */
export function figureOf(reading: LatestReading, nowWallMs: number): StatusFigure {
  const { metric, place, value, unit, state, source, text, lastWallMs } = reading;
  const { firstValue, firstWallMs } = reading;
  const ageMs = nowWallMs >= lastWallMs ? nowWallMs - lastWallMs : null;
  const before = reading.beforeSleep;
  return {
    metric,
    place,
    value,
    unit,
    state,
    source,
    text,
    ageMs,
    firstValue,
    firstWallMs,
    ...(before === undefined ? {} : { beforeSleep: beforeOf(before, nowWallMs) }),
  };
}

function beforeOf({ value, text, lastWallMs }: FigureBeforeSleep, nowWallMs: number) {
  return { value, text, ageMs: nowWallMs >= lastWallMs ? nowWallMs - lastWallMs : null };
}

/** Independent records of a drive's age, side by side. */
export function hoursOf(latest: readonly LatestReading[]): readonly StatusHours[] {
  return hourFigures(latest.map(asLastRead)).map(({ place, value, source }) => ({
    name: place === '' ? 'Power-on hours' : place,
    hours: value,
    source,
  }));
}
