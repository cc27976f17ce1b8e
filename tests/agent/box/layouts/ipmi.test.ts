import { describe, expect, test } from 'vitest';
import { readsOnly } from '../../../../src/agent/box/layouts/ipmi-commands.js';
import { decodeControllerIdentity } from '../../../../src/agent/box/layouts/ipmi-device.js';
import {
  decodeEventLogEntry,
  decodeEventLogInfo,
  decodeEventLogTime,
} from '../../../../src/agent/box/layouts/ipmi-event-log.js';
import {
  completionAbsence,
  fillReply,
  fillRequest,
  readReply,
} from '../../../../src/agent/box/layouts/ipmi-message.js';
import {
  decodeSensorAnswer,
  decodeSensorLimits,
} from '../../../../src/agent/box/layouts/ipmi-sensor.js';
import {
  decodeRecordLength,
  decodeSensorRecord,
} from '../../../../src/agent/box/layouts/ipmi-sensor-list.js';
import { sensorValue } from '../../../../src/agent/box/layouts/ipmi-values.js';
import { PageError } from '../../../../src/agent/box/layouts/page-error.js';
import { bytesOf, compactSupplies, fullFan, fullIntake } from './ipmi-bytes.js';

/** Rule-derived bytes after IPMI 2.0, from memory; makers and sensors are invented. */

describe('identity of the controller', () => {
  const good = bytesOf('20 81 03 61 02 bf 7c 2a 00 34 12 00 00 00 00');

  test('good: maker 10876, firmware 3.61, specification 2.0', () => {
    expect(decodeControllerIdentity(good)).toEqual({
      makerNumber: 10_876,
      productNumber: 0x1234,
      firmware: '3.61',
      specification: '2.0',
      updating: false,
      hasSensorList: true,
      hasEventLog: true,
    });
  });

  test('cut short it is no identity', () => {
    expect(() => decodeControllerIdentity(good.subarray(0, 10))).toThrow(PageError);
  });

  test('no maker, no log, writing its firmware, specification 1.5', () => {
    expect(decodeControllerIdentity(bytesOf('20 01 80 00 51 00 00 00 00 00 00'))).toEqual({
      makerNumber: null,
      productNumber: 0,
      firmware: '0.00',
      specification: '1.5',
      updating: true,
      hasSensorList: false,
      hasEventLog: false,
    });
  });
});

describe('records of the sensor list', () => {
  test('a full record of a temperature, signed, with limits that can be read', () => {
    const [sensor, ...more] = decodeSensorRecord(fullIntake);
    expect(more).toEqual([]);
    expect(sensor).toEqual({
      owner: 0x20,
      unitOfOwner: 0,
      number: 0x11,
      name: 'Intake',
      sensorType: 1,
      eventType: 1,
      formula: {
        numbers: 'twos-complement',
        curve: 0,
        factor: 1,
        offset: 0,
        offsetExponent: 0,
        resultExponent: 0,
      },
      unit: { percent: false, base: 1 },
      limits: { lower: null, lowerCritical: null, upper: 0x2d, upperCritical: 0x32 },
    });
  });

  test('a full record of a fan: factor 300 in ten bits, lower limits alone', () => {
    const [fan] = decodeSensorRecord(fullFan);
    expect(fan).toMatchObject({
      name: 'Fan 1',
      sensorType: 4,
      formula: { numbers: 'unsigned', factor: 300, offset: -60, resultExponent: -1 },
      unit: { base: 18 },
      limits: { lower: 0x14, lowerCritical: 0x0a, upper: null, upperCritical: null },
    });
    expect(decodeRecordLength(fullFan)).toBe(fullFan.length);
  });

  test('a compact record stands for two supplies, lettered', () => {
    const supplies = decodeSensorRecord(compactSupplies);
    expect(supplies.map(({ number, name, formula }) => [number, name, formula])).toEqual([
      [0x60, 'PSA', null],
      [0x61, 'PSB', null],
    ]);
    expect(supplies[0]).toMatchObject({ sensorType: 8, eventType: 0x6f });
  });

  test('cut short anywhere a record is damaged, never half a sensor', () => {
    for (const record of [fullIntake, fullFan, compactSupplies]) {
      for (let length = 0; length < record.length; length += 1) {
        expect(() => decodeSensorRecord(record.subarray(0, length))).toThrow(PageError);
      }
    }
  });

  test('a record of something else holds no sensor', () => {
    expect(decodeSensorRecord(bytesOf('05 00 51 12 03 20 00 00'))).toEqual([]);
  });

  test('a name without letters, and one in six bits', () => {
    const nameless = Uint8Array.from(fullIntake);
    nameless[47] = 0xc0;
    expect(decodeSensorRecord(nameless)[0]?.name).toBe('sensor 17');
    // "IPMI" in six bits is 29h DCh A6h: the example of the specification, from memory.
    const packed = Uint8Array.from(fullIntake);
    packed.set([0x83, 0x29, 0xdc, 0xa6], 47);
    expect(decodeSensorRecord(packed)[0]?.name).toBe('IPMI');
    const digits = Uint8Array.from(fullIntake);
    digits.set([0x42, 0x12, 0xa3], 47);
    expect(decodeSensorRecord(digits)[0]?.name).toBe('12 3');
  });
});

describe('from raw bytes to figures', () => {
  const plain = { curve: 0, factor: 1, offset: 0, offsetExponent: 0, resultExponent: 0 };

  test.each([
    // y = (300·30 − 60·10^0)·10^−1 = 894
    ['a straight line', 'unsigned', { factor: 300, offset: -60, resultExponent: -1 }, 30, 894],
    // y = (2·100 + 5·10^2)·10^0 = 700
    [
      'an offset with its own exponent',
      'unsigned',
      { factor: 2, offset: 5, offsetExponent: 2 },
      100,
      700,
    ],
    ['two’s complement', 'twos-complement', {}, 0xf6, -10],
    ['ones’ complement', 'ones-complement', {}, 0xf5, -10],
    ['unsigned above 127', 'unsigned', {}, 0xf6, 246],
    ['natural logarithm', 'unsigned', { curve: 1 }, 1, 0],
    ['logarithm to base 10', 'unsigned', { curve: 2 }, 100, 2],
    ['logarithm to base 2', 'unsigned', { curve: 3 }, 8, 3],
    ['power of e', 'unsigned', { curve: 4 }, 0, 1],
    ['power of 10', 'unsigned', { curve: 5 }, 3, 1000],
    ['power of 2', 'unsigned', { curve: 6 }, 10, 1024],
    ['one over it', 'unsigned', { curve: 7 }, 4, 0.25],
    ['square', 'unsigned', { curve: 8 }, 12, 144],
    ['cube', 'unsigned', { curve: 9 }, 3, 27],
    ['square root', 'unsigned', { curve: 10 }, 81, 9],
    ['cube root', 'unsigned', { curve: 11 }, 27, 3],
    ['one over nothing', 'unsigned', { curve: 7 }, 0, null],
    ['logarithm of nothing', 'unsigned', { curve: 1 }, 0, null],
    ['a curve of the maker’s own', 'unsigned', { curve: 0x70 }, 4, null],
  ] as const)('%s', (_name, numbers, more, raw, expected) => {
    expect(sensorValue({ ...plain, ...more, numbers }, raw)).toBe(expected);
  });
});

describe('what a sensor tells', () => {
  test('good: raw 25, looked at, above its upper limit', () => {
    const told = decodeSensorAnswer(bytesOf('19 c0 c8'));
    expect(told).toEqual({ raw: 25, scanned: true, valid: true, states: 0xc8 });
  });

  test('states 8 and above; the reserved bit is none', () => {
    expect(decodeSensorAnswer(bytesOf('00 c0 03 81')).states).toBe(0x0103);
  });

  test('not looked at, and not available', () => {
    expect(decodeSensorAnswer(bytesOf('00 80'))).toMatchObject({ scanned: false, valid: true });
    expect(decodeSensorAnswer(bytesOf('00 e0'))).toMatchObject({ scanned: true, valid: false });
  });

  test('cut short', () => {
    expect(() => decodeSensorAnswer(bytesOf('19'))).toThrow(PageError);
    expect(() => decodeSensorLimits(bytesOf('1b 0a 08 00 2d'))).toThrow(PageError);
  });

  test('limits: those of the mask alone', () => {
    expect(decodeSensorLimits(bytesOf('18 00 00 00 2d 32 00'))).toEqual({
      lower: null,
      lowerCritical: null,
      upper: 0x2d,
      upperCritical: 0x32,
    });
  });
});

describe('the event log', () => {
  const info = bytesOf('51 03 00 d0 03 10 32 54 66 ff ff ff ff 82');

  test('state: 3 entries, 976 bytes free, an event dropped, never erased', () => {
    expect(decodeEventLogInfo(info)).toEqual({
      entries: 3,
      freeBytes: 976,
      lastAddition: 0x66543210,
      lastErase: null,
      overflowed: true,
    });
  });

  test('state: free space not told, nothing ever added', () => {
    const none = bytesOf('51 00 00 ff ff ff ff ff ff 00 00 00 00 02');
    expect(decodeEventLogInfo(none)).toEqual({
      entries: 0,
      freeBytes: null,
      lastAddition: null,
      lastErase: null,
      overflowed: false,
    });
  });

  test('cut short', () => {
    expect(() => decodeEventLogInfo(info.subarray(0, 13))).toThrow(PageError);
    expect(() => decodeEventLogTime(info.subarray(0, 3))).toThrow(PageError);
  });

  test('clock: set and not set', () => {
    expect(decodeEventLogTime(bytesOf('10 32 54 66'))).toBe(0x66543210);
    expect(decodeEventLogTime(bytesOf('ff ff ff ff'))).toBe(null);
  });

  const memory = bytesOf('02 00 01 00 02 10 32 54 66 20 00 04 0c 53 6f 30 ff 05');

  test('a memory error that was corrected, module 5', () => {
    expect(decodeEventLogEntry(memory)).toEqual({
      next: 2,
      entry: {
        id: 1,
        type: 2,
        time: { known: 'seconds', seconds: 0x66543210 },
        event: {
          sensorType: 0x0c,
          sensor: 0x53,
          eventType: 0x6f,
          began: true,
          offset: 0,
          secondMeans: 0,
          thirdMeans: 3,
          second: 0xff,
          third: 5,
        },
        record: '0100021032546620000' + '40c536f30ff05',
      },
    });
  });

  test('the newest entry, whose time nobody knows, of an event that ended', () => {
    const ended = bytesOf('ff ff 09 00 02 ff ff ff ff 20 00 04 08 60 ef 03 ff ff');
    const { next, entry } = decodeEventLogEntry(ended);
    expect(next).toBe(null);
    expect(entry.time).toEqual({ known: 'nothing' });
    expect(entry.event).toMatchObject({ began: false, eventType: 0x6f, offset: 3 });
  });

  test('a time counted from the controller’s own start', () => {
    const early = Uint8Array.from(memory);
    early.set([0x78, 0, 0, 0], 5);
    expect(decodeEventLogEntry(early).entry.time).toEqual({ known: 'since-start', seconds: 120 });
  });

  test('entries of the maker’s own: with a time, and without', () => {
    const timed = Uint8Array.from(memory);
    timed[4] = 0xc1;
    expect(decodeEventLogEntry(timed).entry).toMatchObject({
      event: null,
      time: { known: 'seconds' },
    });
    const untimed = Uint8Array.from(memory);
    untimed[4] = 0xe0;
    expect(decodeEventLogEntry(untimed).entry).toMatchObject({
      event: null,
      time: { known: 'nothing' },
    });
  });

  test('an entry cut short', () => {
    expect(() => decodeEventLogEntry(memory.subarray(0, 17))).toThrow(PageError);
  });
});

describe('what may be sent', () => {
  const command = (netFunction: number, number: number, bytes: number) => ({
    name: 'a test',
    netFunction,
    command: number,
    data: new Uint8Array(bytes),
    deadlineMs: 1,
  });

  test('nine commands that read, of all that there are', () => {
    const allowed: string[] = [];
    for (let netFunction = 0; netFunction < 64; netFunction += 1) {
      for (let number = 0; number < 256; number += 1) {
        for (let bytes = 0; bytes < 8; bytes += 1) {
          if (readsOnly(command(netFunction, number, bytes))) {
            allowed.push(`${netFunction.toString(16)} ${number.toString(16)} ${bytes}`);
          }
        }
      }
    }
    expect(allowed).toEqual([
      '4 27 1',
      '4 2d 1',
      '6 1 0',
      'a 20 0',
      'a 22 0',
      'a 23 6',
      'a 40 0',
      'a 43 6',
      'a 48 0',
    ]);
  });
});

describe('messages of the kernel’s device', () => {
  // Linux 6.1 include/uapi/linux/ipmi.h, offsets from a compiler on x86-64.
  test('a request', () => {
    const request = new Uint8Array(40);
    const asked = { netFunction: 0x0a, command: 0x43, data: new Uint8Array(6) };
    fillRequest(request, asked, { number: 7, at: { address: 0x1122n, data: 0x3344n } });
    expect(request).toEqual(
      bytesOf(
        '22 11 00 00 00 00 00 00 08 00 00 00 00 00 00 00 07 00 00 00 00 00 00 00',
        '0a 43 06 00 00 00 00 00 44 33 00 00 00 00 00 00',
      ),
    );
  });

  test('a reply, before and after', () => {
    const reply = new Uint8Array(48);
    fillReply(reply, { address: 0x1122n, data: 0x3344n });
    expect(reply).toEqual(
      bytesOf(
        '00 00 00 00 00 00 00 00 22 11 00 00 00 00 00 00 28 00 00 00 00 00 00 00',
        '00 00 00 00 00 00 00 00 00 00 10 01 00 00 00 00 44 33 00 00 00 00 00 00',
      ),
    );
    reply.set([1, 0, 0, 0], 0);
    reply.set([7, 0, 0, 0, 0, 0, 0, 0], 24);
    reply.set([0x10, 0], 34);
    expect(readReply(reply)).toEqual({ kind: 1, number: 7, dataBytes: 16 });
  });

  test.each([
    [0xc1, 'not-supported'],
    [0xc3, 'timed-out'],
    [0xca, 'refused'],
    [0xcb, 'not-there'],
    [0xd4, 'not-permitted'],
    [0x81, 'busy'],
    [0xff, 'aborted'],
    [0x5a, 'refused'],
  ] as const)('completion code %i is %s', (code, kind) => {
    const { kind: found, text } = completionAbsence('a sensor', code);
    expect(found).toBe(kind);
    expect(text).toContain(`completion code ${code.toString(16).toUpperCase()}h`);
  });
});
