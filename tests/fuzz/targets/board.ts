import { answered } from '../../../src/agent/box/box.js';
import { decodeEventLogEntry } from '../../../src/agent/box/layouts/ipmi-event-log.js';
import { decodeSensorRecord } from '../../../src/agent/box/layouts/ipmi-sensor-list.js';
import { loggedEvent } from '../../../src/agent/probes/management-events.js';
import { managementReadings } from '../../../src/agent/probes/management-readings.js';
import { moduleReadings } from '../../../src/agent/probes/module-readings.js';
import {
  bytesOf,
  compactSupplies,
  fullFan,
  fullIntake,
} from '../../agent/box/layouts/ipmi-bytes.js';
import { qsfpModule, sfpModule, sfpWorkedOut } from '../../agent/box/layouts/module-bytes.js';
import { type FuzzTarget, joinedTarget } from '../target.js';
import { readingLimits, strictReadings } from './readings.js';

/** What becomes of the records of the board's controller and of a card's module: figures, words. */
export function boardTargets(): readonly FuzzTarget[] {
  return [
    joinedTarget([managementReadings], sensorFigures, {
      name: 'managementReadings',
      seeds: [fullIntake, fullFan, compactSupplies],
      limits: readingLimits,
    }),
    joinedTarget([loggedEvent], entryWords, {
      name: 'loggedEvent',
      seeds: [
        bytesOf('02 00 01 00 02 64 0f 27 60 20 00 04 0c 41 6f 00 ff 10'),
        bytesOf('02 00 01 00 02 64 0f 27 60 20 00 04 04 41 01 52 0a 14'),
        bytesOf('ff ff 02 00 c1 64 0f 27 10 20 00 04 01 02 03 04 05 06'),
      ],
      limits: {},
    }),
    joinedTarget([moduleReadings], moduleFigures, {
      name: 'moduleReadings',
      errors: [],
      seeds: [sfpModule, sfpWorkedOut, qsfpModule],
      limits: readingLimits,
    }),
  ];
}

/** The record of a sensor, and what it shows: each raw value that the input's last bytes tell. */
function sensorFigures(data: Uint8Array): unknown {
  const [raw = 0, states = 0, flags = 0] = data.subarray(-3);
  return decodeSensorRecord(data).map((sensor) =>
    strictReadings(
      managementReadings({
        sensor,
        answer: answered({ raw, states, scanned: (flags & 3) !== 0, valid: (flags & 12) !== 0 }),
      }),
    ),
  );
}

function entryWords(data: Uint8Array): unknown {
  return loggedEvent(decodeEventLogEntry(data).entry, [...decodeSensorRecord(fullFan)]);
}

function moduleFigures(data: Uint8Array): unknown {
  const layout = (data[0] ?? 0) === 0x03 ? 2 : 4;
  return strictReadings(moduleReadings(answered({ layout, data })));
}
