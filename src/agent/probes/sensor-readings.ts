import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import { driveChipNames } from './drive-chips.js';
import { wholeNumber } from './read-kernel.js';

/** The files of one sensor as text, null where a file is absent. Temperatures in 1/1000 °C. */
export interface Channel {
  readonly kind: 'temp' | 'fan' | 'power';
  readonly number: number;
  readonly label: string | null;
  readonly input: string | null;
  readonly inputWhy: string | null;
  readonly fault: boolean;
  readonly high: string | null;
  readonly critical: string | null;
}

const kernelPlace = 'kernel sensor';

/** What an input without a sensor shows on many chips lies outside. Common practice, no source. */
const celsiusPlausible = { above: -40, below: 127 };
/** Chips show the most that they can count for a fan that stands still. Our bound. */
const rpmMax = 100_000;

/** Readings of one sensor: its figure, and for a temperature the limit that the kernel tells. */
export function channelReadings(channel: Channel, chipName: string): readonly Reading[] {
  return channel.kind === 'fan'
    ? [fanReading(channel, chipName)]
    : [temperatureReading(channel, chipName), ...limitReading(channel, chipName)];
}

/** Stands for the sensor of a disk that may sleep. */
export function notAsked(number: number): Reading {
  const figure = { ...temperatureFigure({ label: null, number }, 'drivetemp'), place: kernelPlace };
  const why =
    'Not read in this round: reading this sensor sends the drive a command, which can keep it awake';
  return absent(figure, 'no-figure', why);
}

function temperatureReading(channel: Channel, chipName: string): Reading {
  const figure = temperatureFigure(channel, chipName);
  const missing = missingWhy(channel);
  if (missing !== null) return absent(figure, 'no-figure', missing);
  const celsius = celsiusOf(channel.input);
  if (celsius === null) return absent(figure, 'no-figure', notANumber(channel));
  if (celsius <= celsiusPlausible.above || celsius >= celsiusPlausible.below) {
    const why = `The input shows ${celsius} °C, as inputs without a sensor do`;
    return absent(figure, 'no-figure', why);
  }
  return measured(figure, chipName === 'nvme' ? Math.round(celsius) : celsius);
}

/** The lower limit first: the one that the maker calls high. A limit outside sense is left out. */
function limitReading(channel: Channel, chipName: string): readonly Reading[] {
  for (const file of ['max', 'crit'] as const) {
    const celsius = celsiusOf(file === 'max' ? channel.high : channel.critical);
    if (celsius === null || celsius <= 0 || celsius >= celsiusPlausible.below) continue;
    const figure = {
      ...temperatureFigure(channel, chipName),
      ...(driveChipNames.includes(chipName) ? { place: kernelPlace } : {}),
      metric: 'temperature-limit',
      source: `Kernel sensor ${chipName}, file temp${channel.number}_${file}`,
    };
    return [measured(figure, celsius)];
  }
  return [];
}

function fanReading(channel: Channel, chipName: string): Reading {
  const figure: Figure = {
    metric: 'fan-speed',
    unit: 'rpm',
    place: channel.label ?? `fan ${channel.number}`,
    source: `Kernel sensor ${chipName}, file fan${channel.number}_input`,
  };
  const missing = missingWhy(channel);
  if (missing !== null) return absent(figure, 'no-figure', missing);
  const rpm = wholeNumber(channel.input ?? '');
  if (rpm === null || rpm < 0) return absent(figure, 'no-figure', notANumber(channel));
  if (rpm > rpmMax) {
    const why = `The input shows ${rpm} turns a minute, which no fan makes`;
    return absent(figure, 'no-figure', why);
  }
  return measured(
    figure,
    rpm,
    rpm === 0 ? 'no turning seen: it stands still or none is connected' : undefined,
  );
}

/**
 * A drive's first sensor is the one of its own health records, so it continues that series; NVMe
 * counts whole kelvins, which the kernel turns into 49.85 and the like. Limits and absences of the
 * kernel's sensor stand apart: the drive's own records tell those.
 */
function temperatureFigure(
  { label, number }: Pick<Channel, 'label' | 'number'>,
  chipName: string,
): Figure {
  const figure: Figure = {
    metric: 'temperature',
    unit: 'celsius',
    source: `Kernel sensor ${chipName}, file temp${number}_input`,
  };
  if (!driveChipNames.includes(chipName)) {
    return { ...figure, place: label ?? `temperature ${number}` };
  }
  return number === 1
    ? figure
    : { ...figure, place: label?.toLowerCase() ?? `sensor ${number - 1}` };
}

function missingWhy({ fault, input, inputWhy }: Channel): string | null {
  if (fault) return 'The chip reports this sensor as faulty or not connected';
  return input === null ? (inputWhy ?? 'The kernel gave nothing for this sensor') : null;
}

function notANumber({ input }: Channel): string {
  return `The kernel gave "${(input ?? '').slice(0, 20)}" instead of a number`;
}

function celsiusOf(text: string | null): number | null {
  const value = wholeNumber(text ?? '');
  return value === null ? null : value / 1000;
}
