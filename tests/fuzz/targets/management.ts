import {
  deviceIdCommand,
  eventLogEntryCommand,
  readsOnly,
  sensorLimitsCommand,
  sensorListCommand,
  sensorReadingCommand,
  wholeRecord,
} from '../../../src/agent/box/layouts/ipmi-commands.js';
import { decodeControllerIdentity } from '../../../src/agent/box/layouts/ipmi-device.js';
import {
  decodeEventLogEntry,
  decodeEventLogInfo,
  decodeEventLogTime,
} from '../../../src/agent/box/layouts/ipmi-event-log.js';
import {
  completionAbsence,
  fillControllerAddress,
  fillReply,
  fillRequest,
  readReply,
} from '../../../src/agent/box/layouts/ipmi-message.js';
import { sensorName } from '../../../src/agent/box/layouts/ipmi-names.js';
import {
  decodeSensorAnswer,
  decodeSensorLimits,
} from '../../../src/agent/box/layouts/ipmi-sensor.js';
import {
  decodeRecordLength,
  decodeSensorRecord,
} from '../../../src/agent/box/layouts/ipmi-sensor-list.js';
import { sensorValue } from '../../../src/agent/box/layouts/ipmi-values.js';
import {
  bytesOf,
  compactSupplies,
  fullFan,
  fullIntake,
} from '../../agent/box/layouts/ipmi-bytes.js';
import { anyFigure, between, type Limits, u8, u16, u32, upTo } from '../limits.js';
import { type FuzzTarget, joinedTarget, pageTarget } from '../target.js';

const records = [fullIntake, fullFan, compactSupplies];
const rawLimits: Limits = { lower: u8, lowerCritical: u8, upper: u8, upperCritical: u8 };
const sensor: Limits = {
  ...rawLimits,
  owner: u8,
  unitOfOwner: upTo(3),
  number: u8,
  sensorType: u8,
  eventType: upTo(0x7f),
  base: u8,
  curve: upTo(0x7f),
  factor: between(-512, 511),
  offset: between(-512, 511),
  offsetExponent: between(-8, 7),
  resultExponent: between(-8, 7),
  value: anyFigure,
};

export function managementTargets(): readonly FuzzTarget[] {
  return [
    pageTarget(decodeControllerIdentity, {
      seeds: [bytesOf('20 81 03 61 02 bf 7c 2a 00 34 12 00 00 00 00')],
      limits: { makerNumber: between(1, 0xffffe), productNumber: u16 },
    }),
    joinedTarget([decodeSensorRecord, sensorValue, sensorName], sensorsAndValues, {
      name: 'decodeSensorRecord',
      seeds: records,
      limits: sensor,
      share: 2,
    }),
    pageTarget(decodeRecordLength, { seeds: records, limits: { value: between(5, 260) } }),
    pageTarget(decodeSensorAnswer, {
      seeds: [bytesOf('17 c0 00'), bytesOf('17 e0 00 80')],
      limits: { raw: u8, states: upTo(0x7fff) },
    }),
    pageTarget(decodeSensorLimits, { seeds: [bytesOf('1b 05 04 03 2d 32 37')], limits: rawLimits }),
    ...eventTargets(),
    joinedTarget(messageParts, message, {
      name: 'messages of the controller',
      errors: [RangeError],
      seeds: [new Uint8Array(48)],
      limits: { kind: between(-(2 ** 31), 2 ** 31 - 1), number: anyFigure, dataBytes: u16 },
    }),
  ];
}

function sensorsAndValues(data: Uint8Array): unknown {
  return decodeSensorRecord(data).map((one) => {
    const value = one.formula === null ? null : sensorValue(one.formula, data[5] ?? 0);
    return { ...one, value };
  });
}

function eventTargets(): readonly FuzzTarget[] {
  return [
    pageTarget(decodeEventLogInfo, {
      seeds: [bytesOf('51 03 00 00 10 64 0f 27 60 ff ff ff ff 02')],
      limits: { entries: u16, freeBytes: upTo(0xfffe), lastAddition: u32, lastErase: u32 },
    }),
    pageTarget(decodeEventLogTime, { seeds: [bytesOf('64 0f 27 60')], limits: { value: u32 } }),
    pageTarget(decodeEventLogEntry, {
      seeds: [
        bytesOf('02 00 01 00 02 64 0f 27 60 20 00 04 0c 41 6f 00 ff 10'),
        bytesOf('ff ff 02 00 c1 64 0f 27 10 20 00 04 01 02 03 04 05 06'),
        bytesOf('ff ff 03 00 e1 01 02 03 04 05 06 07 08 09 0a 0b 0c 0d'),
      ],
      limits: {
        next: upTo(0xfffe),
        id: u16,
        type: u8,
        seconds: u32,
        sensorType: u8,
        sensor: u8,
        eventType: upTo(0x7f),
        offset: upTo(15),
        secondMeans: upTo(3),
        thirdMeans: upTo(3),
        second: u8,
        third: u8,
      },
    }),
  ];
}

const messageParts = [
  completionAbsence,
  readReply,
  fillRequest,
  fillReply,
  fillControllerAddress,
  eventLogEntryCommand,
  sensorListCommand,
  sensorReadingCommand,
  sensorLimitsCommand,
  readsOnly,
];

/** The kernel's own structures are always whole; a cut one is a mistake of ours, a range error. */
function message(input: Uint8Array): unknown {
  const bytes = input.slice();
  const head = readReply(bytes);
  const at = { address: 1n, data: 2n };
  const commands = [
    deviceIdCommand,
    eventLogEntryCommand(input[0] ?? 0),
    sensorListCommand(input[1] ?? 0, wholeRecord),
    sensorReadingCommand(input[2] ?? 0),
    sensorLimitsCommand(input[3] ?? 0),
  ];
  for (const command of commands) fillRequest(bytes, command, { number: 1, at });
  fillReply(bytes, at);
  fillControllerAddress(bytes);
  return [head, completionAbsence('its sensors', input[4] ?? 0), commands.map(readsOnly)];
}
