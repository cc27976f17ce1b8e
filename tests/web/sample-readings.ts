// Invented readings of the sample box, as functions of the day and the minute of a boot.
import { absent, measured, type Reading } from '../../src/checks/reading.js';

export interface SampleMoment {
  /** Days since the first one, 0 to 59. */
  readonly day: number;
  /** Minutes since this boot. */
  readonly minute: number;
}

const statistics = 'Device Statistics log, temperature page';
const errors = 'SMART data, vendor attribute';

/** A warm-up curve with a small ripple, whole degrees as drives give them. */
function warmth({ day, minute }: SampleMoment, top: number): number {
  const ripple = Math.sin(day * 1.7 + minute / 47) * 1.4;
  return Math.round(top - (top - 21) * Math.exp(-minute / 70) + ripple);
}

function celsius(metric: string, value: number, place?: string): Reading {
  const figure = { metric, unit: 'celsius', source: statistics } as const;
  return measured(place === undefined ? figure : { ...figure, place }, value);
}

function counter(metric: string, value: number): Reading {
  return measured(
    { metric, unit: metric.endsWith('sectors') ? 'sectors' : 'count', source: errors },
    value,
  );
}

function turningDrive(moment: SampleMoment, own: { top: number; hours: number }): Reading[] {
  const hours = own.hours + moment.day * 5;
  return [
    measured(
      { metric: 'drive-verdict', unit: 'code', source: 'SMART RETURN STATUS' },
      0,
      'not failing',
    ),
    celsius('temperature', warmth(moment, own.top)),
    celsius('temperature-highest', 51),
    celsius('temperature-limit', 60),
    measured(
      { metric: 'power-on-hours', unit: 'hours', source: 'Device Statistics log, general page' },
      hours,
    ),
    measured(
      {
        metric: 'power-on-hours',
        unit: 'hours',
        source: 'SMART data, vendor attribute',
        place: 'vendor attribute',
      },
      hours,
    ),
    counter('power-cycles', 812 + moment.day),
    counter('interface-crc-errors', 0),
    measured(
      {
        metric: 'error-recovery-time-limit',
        unit: 'milliseconds',
        source: 'SCT error recovery control',
      },
      7000,
    ),
    measured(
      { metric: 'bytes-written', unit: 'bytes', source: 'Device Statistics log, general page' },
      31.2e12 + moment.day * 4e9,
    ),
  ];
}

/** Sectors reallocated on the ailing drive: none for a month, then a few, then more. */
function reallocated(day: number): number {
  if (day < 31) return 0;
  return day < 48 ? 8 : 8 + (day - 47) * 3;
}

/** Readings of the named drive at a moment; empty when it is not asked then. */
export function driveReadings(serial: string, moment: SampleMoment): readonly Reading[] {
  if (serial === 'LK7-3310A') {
    return [
      ...turningDrive(moment, { top: 38, hours: 18_204 }),
      counter('reallocated-sectors', 0),
      counter('pending-sectors', 0),
    ];
  }
  if (serial === 'LK7-3311C') {
    return [
      ...turningDrive(moment, { top: 39, hours: 18_190 }),
      counter('reallocated-sectors', reallocated(moment.day)),
      counter('pending-sectors', moment.day > 55 ? 2 : 0),
    ];
  }
  if (serial === 'LK7-4402F') return sleepingDrive(moment);
  if (serial === 'TV-88-0093') {
    return moment.day < 56
      ? []
      : [
          ...turningDrive(moment, { top: 44, hours: 31_877 }),
          counter('reallocated-sectors', 0),
          counter('pending-sectors', 0),
        ];
  }
  if (serial === 'QN250-77120') return solidDrive(moment);
  const source = 'Kernel device tree';
  const why = 'The USB bridge passes no health records on';
  return [absent({ metric: 'temperature', unit: 'celsius', source }, 'not-visible', why)];
}

function sleepingDrive(moment: SampleMoment): readonly Reading[] {
  if (moment.minute < 100) {
    return [
      ...turningDrive(moment, { top: 34, hours: 9_420 }),
      counter('reallocated-sectors', 0),
      counter('pending-sectors', 0),
    ];
  }
  const why = 'The drive sleeps and was not woken';
  return [absent({ metric: 'temperature', unit: 'celsius', source: statistics }, 'asleep', why)];
}

function solidDrive(moment: SampleMoment): readonly Reading[] {
  const source = 'NVMe health log';
  return [
    measured({ metric: 'critical-warning', unit: 'code', source }, 0, 'none'),
    measured({ metric: 'temperature', unit: 'celsius', source }, warmth(moment, 41)),
    measured({ metric: 'temperature-limit', unit: 'celsius', source }, 77),
    measured({ metric: 'power-on-hours', unit: 'hours', source }, 4_101 + moment.day * 5),
    measured({ metric: 'media-and-data-errors', unit: 'count', source }, 0),
    measured({ metric: 'endurance-used', unit: 'percent', source }, 6),
    measured({ metric: 'spare-left', unit: 'percent', source }, 100),
    measured({ metric: 'unsafe-shutdowns', unit: 'count', source }, 14),
  ];
}

export function boardReadings(moment: SampleMoment): readonly Reading[] {
  const source = 'Kernel sensor files';
  return [
    measured(
      { metric: 'temperature', unit: 'celsius', source, place: 'processor' },
      warmth(moment, 47),
    ),
    measured(
      { metric: 'temperature', unit: 'celsius', source, place: 'board' },
      warmth(moment, 33),
    ),
    measured(
      { metric: 'fan-speed', unit: 'rpm', source, place: 'front fan' },
      910 + ((moment.minute * 7) % 40),
    ),
    absent(
      { metric: 'fan-speed', unit: 'rpm', source, place: 'rear fan' },
      'no-figure',
      'The chip gives 0 and no fan is set up there',
    ),
  ];
}

export function networkReadings(): readonly Reading[] {
  const source = 'Kernel files of the interface';
  return [
    measured({ metric: 'network-rate', unit: 'bits-per-second', source }, 10e9),
    measured({ metric: 'network-rate-possible', unit: 'bits-per-second', source }, 10e9),
    measured({ metric: 'network-receive-errors', unit: 'count', source }, 0),
    measured(
      {
        metric: 'pci-link-speed',
        unit: 'gigatransfers-per-second',
        source: 'Kernel file current_link_speed',
      },
      8,
    ),
    measured(
      { metric: 'pci-link-lanes', unit: 'lanes', source: 'Kernel file current_link_width' },
      4,
    ),
    measured(
      {
        metric: 'pci-link-speed-possible',
        unit: 'gigatransfers-per-second',
        source: 'Kernel file max_link_speed',
      },
      8,
    ),
    measured(
      { metric: 'pci-link-lanes-possible', unit: 'lanes', source: 'Kernel file max_link_width' },
      8,
    ),
  ];
}

export function controllerReadings(): readonly Reading[] {
  const source = 'Kernel file current_link_speed';
  const why = 'The function is built into the chipset and has no slot link';
  return [
    absent(
      { metric: 'pci-link-speed', unit: 'gigatransfers-per-second', source },
      'no-figure',
      why,
    ),
    absent({ metric: 'pci-link-lanes', unit: 'lanes', source }, 'no-figure', why),
  ];
}
