import { describe, expect, test } from 'vitest';
import { KernelLogReader } from '../../../src/agent/box/kernel-log.js';
import { type LogRecord, parseLogRecord } from '../../../src/agent/box/layouts/kernel-log.js';
import { logEvents, nothingCarried } from '../../../src/agent/probes/log-events.js';
import type { LogPlace } from '../../../src/agent/probes/log-places.js';

describe('records of /dev/kmsg (Documentation/ABI/testing/dev-kmsg)', () => {
  test('carry priority, number and microseconds, then the text', () => {
    const record = '6,339,5140900,-;sd 2:0:0:0: [sdb] Attached SCSI disk\n SUBSYSTEM=scsi\n';
    expect(parseLogRecord(record)).toEqual({
      sequence: 339,
      monoMs: 5140.9,
      level: 6,
      text: 'sd 2:0:0:0: [sdb] Attached SCSI disk',
    });
    expect(parseLogRecord('30,12,7,-,caller=T1;a \\x22b\\x22')).toMatchObject({
      level: 6,
      text: 'a "b"',
    });
  });

  test.each(['', '6,339,5140900', 'text', '6,x,5,-;text', ' SUBSYSTEM=scsi'])(
    '%j is none',
    (text) => {
      expect(parseLogRecord(text)).toBe(null);
    },
  );

  test('the log of this machine is read without waiting, or there is a reason', async () => {
    const reader = new KernelLogReader('/dev/kmsg');
    const answer = await reader.read(-1);
    if (!answer.ok) return expect(answer.absence.text).toContain('kernel log');
    const numbers = answer.value.map(({ sequence }) => sequence);
    expect(numbers).toEqual([...numbers].sort((one, other) => one - other));
    const newest = numbers.at(-1) ?? -1;
    const later = await reader.read(newest);
    expect(later.ok && later.value.every(({ sequence }) => sequence > newest)).toBe(true);
    const again = await reader.read((numbers[0] ?? 0) - 1);
    const asBefore = again.ok ? again.value.slice(0, 3) : [];
    expect(asBefore).toEqual(answer.value.slice(0, 3));
    reader.close();
  });

  test('a log that is not there is a reason', async () => {
    const answer = await new KernelLogReader('/nonexistent/kmsg').read(-1);
    expect(answer.ok ? null : answer.absence.kind).toBe('gone');
  });
});

let number = 0;
function line(text: string, monoMs = 60_000): LogRecord {
  number += 1;
  return { sequence: number, monoMs, level: 6, text };
}

const places: readonly LogPlace[] = [
  {
    identityKey: 'wwn:a',
    logicalBlockBytes: 512,
    names: [
      { by: 'ata-port', name: 'ata3' },
      { by: 'block-name', name: 'sdb' },
    ],
  },
  { identityKey: 'wwn:b', logicalBlockBytes: 512, names: [{ by: 'ata-port', name: 'ata4' }] },
  {
    identityKey: 'wwn:c',
    logicalBlockBytes: 4096,
    names: [{ by: 'nvme-controller', name: 'nvme1' }],
  },
];

function eventsOf(records: readonly LogRecord[], carried = nothingCarried) {
  const afterSequence = (records[0]?.sequence ?? 1) - 1;
  const { events, carried: next } = logEvents({ records, afterSequence, places, carried });
  const rows = events.map(({ identityKey, event }) => [
    identityKey,
    event.kind,
    event.positionBytes,
  ]);
  return { rows, events, next };
}

test('positions are in bytes, of the drive’s own blocks where the line counts those', () => {
  const { rows } = eventsOf([
    line('critical medium error, dev sdb, sector 4096 op 0x0:(READ) flags 0x0'),
    line('nvme1n1: I/O Cmd(0x2) @ LBA 2048, 1 blocks, I/O Error (sct 0x2 / sc 0x81)'),
  ]);
  expect(rows).toEqual([
    ['wwn:a', 'medium-error', 2_097_152],
    ['wwn:c', 'medium-error', 8_388_608],
  ]);
});

test('empty ports are told as down at boot, which is no loss; a port that had a link loses it', () => {
  const down = 'ata3: SATA link down (SStatus 0 SControl 300)';
  expect(eventsOf([line(down), line('ata4: SATA link up 6.0 Gbps (SStatus 133)')]).rows).toEqual(
    [],
  );
  const up = line('ata3: SATA link up 6.0 Gbps (SStatus 133 SControl 300)');
  expect(eventsOf([up, line(down)]).rows).toEqual([['wwn:a', 'link-lost', null]]);
});

test('keyboards, volumes and unknown names are no events, an unknown disk is one', () => {
  const { rows } = eventsOf([
    line('usb 1-2: USB disconnect, device number 3'),
    line('I/O error, dev dm-0, sector 8 op 0x0:(READ) flags 0x0'),
    line('I/O error, dev sdq, sector 8 op 0x0:(READ) flags 0x0'),
  ]);
  expect(rows).toEqual([[null, 'request-failed', 4096]]);
});

describe('several ports in trouble', () => {
  test('within two seconds share a cause', () => {
    const { rows } = eventsOf([
      line('ata3: hard resetting link', 60_000),
      line('ata4: hard resetting link', 61_900),
    ]);
    expect(rows).toEqual([
      ['wwn:a', 'link-reset', null],
      ['wwn:b', 'link-reset', null],
      ['wwn:a', 'power-pattern', null],
      ['wwn:b', 'power-pattern', null],
    ]);
  });

  test('further apart, or one port twice, share none', () => {
    const apart = [
      line('ata3: hard resetting link', 60_000),
      line('ata4: hard resetting link', 62_100),
    ];
    const twice = [
      line('ata3: hard resetting link', 60_000),
      line('ata3: hard resetting link', 60_500),
    ];
    const kinds = [apart, twice].map((records) => eventsOf(records).rows.map(([, kind]) => kind));
    expect(kinds).toEqual([['link-reset', 'link-reset'], ['link-reset']]);
  });

  test('are seen together when a reading ends between them', () => {
    const first = eventsOf([line('ata3: hard resetting link', 60_000)]);
    const second = eventsOf([line('ata4: hard resetting link', 60_900)], first.next);
    expect(second.rows.map(([, kind]) => kind)).toEqual([
      'link-reset',
      'power-pattern',
      'power-pattern',
    ]);
  });
});

test('records that were overwritten are counted, before the first one and between two', () => {
  const [one, two] = [line('Linux'), line('Linux')];
  const records = [one, { ...two, sequence: two.sequence + 1 }];
  const { events } = logEvents({
    records,
    afterSequence: one.sequence - 8,
    places,
    carried: nothingCarried,
  });
  expect(events.map(({ event }) => event.text)).toEqual([
    '7 lines of the kernel’s log were overwritten before they could be read',
    '1 line of the kernel’s log was overwritten before they could be read',
  ]);
});
