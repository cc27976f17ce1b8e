import type { EventKind } from '../../checks/event.js';
import { metricInfo } from '../../checks/metrics.js';
import { formatValue } from '../../checks/units.js';
import type { EventLogEntry, SensorEvent } from '../box/layouts/ipmi-event-log.js';
import type { SensorRecord } from '../box/layouts/ipmi-sensor-list.js';
import { rawFigure } from './management-readings.js';
import { wordOfState } from './management-states.js';

/** What one entry of a controller's log says, in words. */
export interface LoggedEvent {
  readonly kind: EventKind;
  readonly text: string;
}

const comparesWithLimits = 0x01;
const memoryType = 0x0c;

/** Words of one entry. An entry whose meaning is not known keeps its bytes. Pure; never throws. */
export function loggedEvent(
  { event, type, record }: EventLogEntry,
  sensors: readonly SensorRecord[],
): LoggedEvent {
  const unknown = `The controller’s log holds an entry whose meaning is not known, bytes ${record}`;
  if (event === null) {
    const maker = `The controller’s log holds an entry of its maker’s own (type ${type}), bytes ${record}`;
    return { kind: 'controller-event', text: maker };
  }
  const sensor = sensors.find(({ number }) => number === event.sensor);
  const said =
    event.eventType === comparesWithLimits ? limitWords(event, sensor) : stateText(event);
  if (said === null) return { kind: 'controller-event', text: unknown };
  const name = sensor === undefined ? `sensor ${event.sensor}` : `sensor “${sensor.name}”`;
  const ended = event.began ? said : `no longer: ${said}`;
  return { kind: kindOf(event), text: `${upperFirst(ended)} (${name})` };
}

function stateText(event: SensorEvent): string | null {
  const words = wordOfState(event, event.offset);
  if (words === null) return null;
  const subject = event.eventType === 0x6f ? '' : `${typeWords[event.sensorType] ?? 'a sensor'}: `;
  return `${subject}${words}${moduleWords(event)}`;
}

/** Third byte of a memory event: which module, as the controller counts them. */
function moduleWords({ sensorType, eventType, thirdMeans, third }: SensorEvent): string {
  const tells = sensorType === memoryType && eventType === 0x6f && thirdMeans === 3;
  return tells && third !== 0xff ? `, module ${third} as the controller counts them` : '';
}

/** Limits in the order of the events' numbers, each passed once falling and once rising. */
const limitNames = [
  'its lower limit',
  'its critical lower limit',
  'the lower limit that may harm',
  'its upper limit',
  'its critical upper limit',
  'the upper limit that may harm',
] as const;

function limitWords(event: SensorEvent, sensor: SensorRecord | undefined): string | null {
  const limit = limitNames[event.offset >> 1];
  if (limit === undefined) return null;
  const went = event.offset % 2 === 0 ? 'fell below' : 'rose above';
  const figures = sensor === undefined ? '' : figureWords(event, sensor);
  return `${typeWords[event.sensorType] ?? 'a reading'} ${went} ${limit}${figures}`;
}

function figureWords(event: SensorEvent, sensor: SensorRecord): string {
  const at = event.secondMeans === 1 ? rawFigure(sensor, event.second) : null;
  const limit = event.thirdMeans === 1 ? rawFigure(sensor, event.third) : null;
  const words = (figure: { metric: string; value: number }) =>
    formatValue(figure.value, metricInfo(figure.metric).unit);
  if (at === null) return '';
  return limit === null ? `: ${words(at)}` : `: ${words(at)}, limit ${words(limit)}`;
}

/** Types of sensors by their number (IPMI 2.0, list of sensor types, from memory). */
const typeWords: Readonly<Record<number, string>> = {
  1: 'the temperature',
  2: 'a voltage',
  3: 'a current',
  4: 'the fan',
  5: 'the case',
  7: 'the processor',
  8: 'the power supply',
  9: 'the power of the board',
  10: 'the cooling',
  11: 'the power',
  12: 'the memory',
  13: 'a drive bay',
  19: 'a bus',
};

/** What an event is about decides its kind; those that end something are for the record alone. */
const kindOfType: Readonly<Record<number, EventKind>> = {
  1: 'board-too-warm',
  2: 'voltage-out-of-range',
  4: 'fan-fault',
  7: 'processor-error',
  8: 'supply-fault',
  9: 'power-lost',
  10: 'fan-fault',
  12: 'memory-error',
};

/** States of a type's own that are no fault: something is there, or stands by. */
const harmlessOwn: Readonly<Record<number, readonly number[]>> = {
  7: [7],
  8: [0, 7],
  9: [0, 1],
  12: [6, 8],
};

/** General states that tell of a fault, whatever the sensor. */
const faultyGeneral: Readonly<Record<number, readonly number[]>> = {
  4: [1],
  5: [1],
  6: [1],
  7: [1, 2, 3, 5, 6],
  8: [0],
  11: [1, 2, 3, 5, 6, 7],
};

function kindOf(event: SensorEvent): EventKind {
  const kind = kindOfType[event.sensorType];
  return kind !== undefined && event.began && isFault(event) ? kind : 'controller-event';
}

const firstUpper = 6;

function isFault({ eventType, sensorType, offset }: SensorEvent): boolean {
  if (eventType === 0x6f) return !(harmlessOwn[sensorType] ?? []).includes(offset);
  if (eventType !== comparesWithLimits) return (faultyGeneral[eventType] ?? []).includes(offset);
  const passedUpper = offset >= firstUpper && offset % 2 === 1;
  const passedLower = offset < firstUpper && offset % 2 === 0;
  if (kindOfType[sensorType] === 'board-too-warm') return passedUpper;
  return kindOfType[sensorType] === 'fan-fault' ? passedLower : passedUpper || passedLower;
}

function upperFirst(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
