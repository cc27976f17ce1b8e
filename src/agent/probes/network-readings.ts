import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import { wholeNumber } from './read-kernel.js';

/**
 * Files of one interface as text, null where reading failed. `speed` is in megabits per second,
 * −1 or unreadable when the link is down. Source: Linux ABI/testing/sysfs-class-net.
 */
export interface NetworkFiles {
  readonly speed: string | null;
  readonly duplex: string | null;
  readonly carrier: string | null;
  readonly operstate: string | null;
  readonly receiveErrors: string | null;
  readonly checksumErrors: string | null;
  readonly carrierChanges: string | null;
}

const noInterface = 'The card has no network interface: no driver runs it';
/** Older kernels print the unknown speed, -1, as an unsigned number of 32 bits. */
const unknownMegabits = 2 ** 32 - 1;
const rateHidden =
  'The kernel’s files tell only the rate in use; the card’s rated speed has to stand in the model file';

/** Readings of one network card; `files` is null for a card without an interface. */
export function networkReadings(
  files: NetworkFiles | null,
  options: { readonly virtual: boolean },
): readonly Reading[] {
  const possible: Figure = {
    metric: 'network-rate-possible',
    unit: 'bits-per-second',
    source: 'Kernel files of the interface',
  };
  return [
    rateReading(files, options.virtual),
    absent(possible, 'no-figure', options.virtual ? virtualWhy : rateHidden),
    counter('network-receive-errors', 'statistics/rx_errors', files?.receiveErrors),
    counter('network-checksum-errors', 'statistics/rx_crc_errors', files?.checksumErrors),
    counter('network-carrier-changes', 'carrier_changes', files?.carrierChanges),
  ];
}

const virtualWhy =
  'Virtual network card: the host of this virtual machine sets its rate and tells none';

function rateReading(files: NetworkFiles | null, virtual: boolean): Reading {
  const figure: Figure = {
    metric: 'network-rate',
    unit: 'bits-per-second',
    source: 'Kernel file speed',
  };
  if (files === null) return absent(figure, 'no-figure', noInterface);
  const megabits = wholeNumber(files.speed ?? '');
  const isUp = files.carrier !== '0' && files.operstate !== 'down';
  if (isUp && megabits !== null && megabits > 0 && megabits < unknownMegabits) {
    return measured(figure, megabits * 1_000_000, duplexText(files.duplex));
  }
  return absent(figure, 'no-figure', rateWhy(files, { isUp, virtual }));
}

function duplexText(duplex: string | null): string | undefined {
  return duplex === 'half' ? 'half duplex: one direction at a time' : undefined;
}

/** Reading the carrier of an interface that is switched off fails (EINVAL), so it is null then. */
function rateWhy(files: NetworkFiles, known: { isUp: boolean; virtual: boolean }): string {
  if (files.carrier === null) return 'The interface is switched off in the system';
  if (!known.isUp) return 'No link: no cable, or the other end is off';
  return known.virtual ? virtualWhy : 'The link is up, but the driver tells no rate';
}

/** Counters of the kernel start from 0 when the driver loads, so at least with each boot. */
function counter(metric: string, file: string, text: string | null | undefined): Reading {
  const figure: Figure = {
    metric,
    unit: 'count',
    source: `Kernel file ${file}, since the driver started`,
  };
  if (text === undefined) return absent(figure, 'no-figure', noInterface);
  const value = text === null ? null : wholeNumber(text);
  if (value === null || value < 0) {
    return absent(figure, 'no-figure', `The kernel file ${file} gave no number`);
  }
  return measured(figure, value);
}
