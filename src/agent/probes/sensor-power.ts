import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import { wholeNumber } from './read-kernel.js';
import type { Channel } from './sensor-readings.js';

/** The kernel's sensors of a plugged-in transceiver; Linux drivers/net/phy/sfp.c. */
export const transceiverChip = 'sfp';

/** Above 10 mW no transceiver for short ways sends or receives; common practice, no source. */
const microwattsMax = 10_000;

/**
 * One power input of a chip. A transceiver tells light sent and received in millionths of a watt;
 * other chips tell electric power (Linux Documentation/hwmon/sysfs-interface.rst). Pure.
 */
export function powerReading(channel: Channel, chipName: string): Reading {
  const isLight = chipName === transceiverChip;
  const figure: Figure = {
    metric: isLight ? 'optical-power' : 'power-draw',
    unit: isLight ? 'microwatts' : 'watts',
    place: placeOf(channel, isLight),
    source: `Kernel sensor ${chipName}, file power${channel.number}_input`,
  };
  if (channel.fault) return absent(figure, 'no-figure', 'The chip reports this sensor as faulty');
  const microwatts = wholeNumber(channel.input ?? '');
  if (microwatts === null || microwatts < 0) {
    const why = channel.inputWhy ?? 'The kernel gave no number of microwatts';
    return absent(figure, 'no-figure', why);
  }
  if (isLight && microwatts > microwattsMax) {
    const why = `The input shows ${microwatts} µW, more than a transceiver sends`;
    return absent(figure, 'no-figure', why);
  }
  return measured(figure, isLight ? microwatts : microwatts / 1e6);
}

function placeOf({ label, number }: Channel, isLight: boolean): string {
  if (isLight && label === 'TX_power') return 'light sent';
  if (isLight && label === 'RX_power') return 'light received';
  return label ?? `power ${number}`;
}
