import type { ClassSpan, DriveClass } from '../classes.js';
import type { BoxModel } from '../parse.js';
import type { Entry, ModelDrive } from '../schema.js';
import { scaledInterval, sumOfIntervals } from './stages.js';
import type { Interval, LeadEstimate, PowerEstimate } from './types.js';

type Lead = Entry<'power-lead'>;

/**
 * Amperes at 12 V that a plug carries: three pins of 1.5 A on a SATA power plug (contact rating as
 * quoted from the SATA specification), 5 A on the one pin of a four-pin plug (common practice, no
 * source). What the maker of the lead says goes before both.
 */
const ratedAmperes = { sata: 4.5, 'four-pin': 5 } as const;
const ratedSource = 'SATA power contacts 1.5 A each, three of them; four-pin plug: common practice';

const nothing: Interval = { expected: 0, low: 0, high: 0 };
const volts = 12;
/** 5 V on top while starting (SATA product manual Rev. E p. 9 Table 2: 0.52 A at 5 V). */
const startWattsAtFiveVolts = 2.6;
const daysPerYear = 365;

/**
 * What the drives draw, lead by lead and all together; the board, fans and losses of the supply are
 * not in it. A drive whose figures are not known counts as nothing and is named in `assumed`.
 */
export function estimatePower(
  model: BoxModel,
  classes: readonly DriveClass[],
): { readonly power: PowerEstimate; readonly assumed: readonly string[] } {
  const figures = model.drives.map((drive) => figuresOf(drive, classes));
  const total = (key: 'start' | 'work' | 'idle') =>
    sumOfIntervals(figures.map((one) => one[key] ?? nothing));
  const rotating = figures.filter(({ start }) => (start?.high ?? 0) > 0).length;
  const start = scaledInterval(total('start'), volts);
  const fiveVolts = rotating * startWattsAtFiveVolts;
  const work = total('work');
  const perYear = yearOf(model, work);
  const unknown = figures.filter(({ work: watts }) => watts === null).map(({ serial }) => serial);
  return {
    power: {
      leads: model.powerLeads.map((lead) => leadOf(lead, { model, figures })),
      drivesStartWatts: sumOfIntervals([
        start,
        { expected: fiveVolts, low: fiveVolts, high: fiveVolts },
      ]),
      drivesWorkWatts: work,
      drivesIdleWatts: total('idle'),
      supplyWatts: model.power.supplyWatts ?? null,
      ...perYear,
      source: sourceOf(model, classes),
    },
    assumed: unknown.map((serial) => `${serial}: what it draws is not known and left out`),
  };
}

/** Where the figures come from, and what is not in them. */
function sourceOf(model: BoxModel, classes: readonly DriveClass[]): string {
  const used = classes.filter(({ id }) => model.drives.some((drive) => drive.class === id));
  const told = used.flatMap(({ id, powerSource }) =>
    powerSource === null ? [] : [`${id}: ${powerSource}`],
  );
  return ['drives alone, without board, fans and losses', ...told].join('; ');
}

interface DriveFigures {
  readonly serial: string;
  readonly start: Interval | null;
  readonly work: Interval | null;
  readonly idle: Interval | null;
}

function figuresOf(drive: ModelDrive, classes: readonly DriveClass[]): DriveFigures {
  const named = classes.find(({ id }) => id === drive.class);
  const exact = (value: number | undefined) =>
    value === undefined ? null : { expected: value, low: value, high: value };
  return {
    serial: drive.serial,
    start: exact(drive.startAmperes) ?? middle(named?.startAmperes),
    work: exact(drive.workWatts) ?? middle(named?.workWatts),
    idle: middle(named?.idleWatts),
  };
}

function middle(span: ClassSpan | null | undefined): Interval | null {
  if (span === null || span === undefined) return null;
  return { expected: (span.low + span.high) / 2, low: span.low, high: span.high };
}

function leadOf(
  lead: Lead,
  so: { readonly model: BoxModel; readonly figures: readonly DriveFigures[] },
): LeadEstimate {
  const drives = fedBy(lead, so.model);
  const starts = so.figures.filter(({ serial }) => drives.includes(serial));
  const amperes = starts.map(({ start }) => start ?? nothing);
  const rated = ratedAmperes[lead.connector];
  return {
    lead: lead.id,
    connector: lead.connector,
    drives,
    startAmperes: sumOfIntervals(amperes),
    ratedAmperes: rated,
    mayStartTogether: fitting(amperes, rated),
    source: ratedSource,
  };
}

/** How many of the drives fit within the rating, the hungriest of them first. */
function fitting(amperes: readonly Interval[], rated: number): number {
  let sum = 0;
  return amperes
    .map(({ high }) => high)
    .toSorted((one, other) => other - one)
    .filter((high) => {
      const fits = sum + high <= rated;
      if (fits) sum += high;
      return fits;
    }).length;
}

/** Serials of all drives that hang on a lead, also over leads plugged into it. */
export function fedBy(lead: Lead, model: BoxModel): readonly string[] {
  return lead.feeds.flatMap((fed) => {
    const next = model.powerLeads.find(({ id }) => id === fed);
    return next === undefined || next === lead ? [fed] : fedBy(next, model);
  });
}

function yearOf(model: BoxModel, work: Interval) {
  const { hoursPerDay, tariffPerKwh } = model.power;
  if (hoursPerDay === undefined) return { kilowattHoursPerYear: null, costPerYear: null };
  const kilowattHoursPerYear = scaledInterval(work, (hoursPerDay * daysPerYear) / 1000);
  const costPerYear =
    tariffPerKwh === undefined ? null : scaledInterval(kilowattHoursPerYear, tariffPerKwh);
  return { kilowattHoursPerYear, costPerYear };
}
