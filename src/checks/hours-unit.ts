import { formatNumber } from './units.js';

/** Units in which drives are known to count how long they were on, with their seconds. */
export const hourUnits = [
  { unit: 'hours', seconds: 3600 },
  { unit: 'half hours', seconds: 1800 },
  { unit: 'minutes', seconds: 60 },
  { unit: 'half minutes', seconds: 30 },
  { unit: 'seconds', seconds: 1 },
] as const;

export type HourUnit = (typeof hourUnits)[number]['unit'];

/** What was seen of a counter while box and drive were on. */
export interface CounterWatch {
  /** Seconds between looks at the counter, with the drive on all the while. */
  readonly seconds: number;
  /** How much it grew in them. */
  readonly growth: number;
  /** Unbroken stretches that these seconds are made of; each is cut off at both its ends. */
  readonly stretches: number;
}

export type HoursUnitAnswer =
  | { readonly unit: HourUnit; readonly seconds: number; readonly words: string }
  | { readonly unit: null; readonly words: string };

/** Before this much nothing is decided: an engineering rule of our own. */
const watchedSecondsMin = 10 * 3600;

/** After this much that fits no unit it is watched anew: our choice. */
const watchedSecondsMax = 100 * 3600;

/** Clocks of drives and of boxes may differ so much; our choice, far above what crystals do. */
const clockShare = 0.02;

/** A drive may write its count down late, by up to this much; our choice. */
const lateSecondsMax = 3600;

/**
 * The unit of a power-on counter from its growth over watched time. A unit fits when the growth
 * lies within what it makes of that time, with a count and an hour of lateness at both ends of each
 * stretch, and 2 % of clock error. It is told only when no other unit fits; a counter that stands
 * still while its drive idles can fit none, or pass for a larger unit. Rules of our own. Pure;
 * never throws.
 */
export function hoursUnit(watch: CounterWatch): HoursUnitAnswer {
  const { seconds, growth } = watch;
  if (!(seconds >= watchedSecondsMin)) {
    const hours = formatNumber(watchedSecondsMin / 3600);
    return { unit: null, words: `Not told yet: it was watched for less than ${hours} hours` };
  }
  const fitting = hourUnits.filter((one) => fits(watch, one.seconds));
  const [only] = fitting;
  if (only === undefined) {
    return { unit: null, words: 'Cannot be told: its growth fits no unit that is known here' };
  }
  if (fitting.length > 1) {
    const names = fitting.map(({ unit }) => unit);
    const listed = `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
    return { unit: null, words: `Not told yet: its growth fits ${listed}` };
  }
  const hours = formatNumber(seconds / 3600);
  const words = `${only.unit}: learned by watching ${hours} powered-on hours, in which it grew by ${formatNumber(growth)}`;
  return { unit: only.unit, seconds: only.seconds, words };
}

/** So long a watch fits no unit, as after a counter that jumped once: a new one may fit. */
export function isWatchSpoilt(watch: CounterWatch): boolean {
  const isLong = watch.seconds >= watchedSecondsMax;
  return isLong && !hourUnits.some(({ seconds }) => fits(watch, seconds));
}

function fits({ seconds, growth, stretches }: CounterWatch, unitSeconds: number): boolean {
  const counts = seconds / unitSeconds;
  const slack = Math.max(1, stretches) * (1 + lateSecondsMax / unitSeconds);
  return growth >= counts * (1 - clockShare) - slack && growth <= counts * (1 + clockShare) + slack;
}

/** The unit that counts so many seconds, as it was kept; null for any other number. */
export function unitOfSeconds(seconds: number | null): HourUnit | null {
  return hourUnits.find((one) => one.seconds === seconds)?.unit ?? null;
}
