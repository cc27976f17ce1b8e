import { expect, test } from 'vitest';
import type { LogRecord } from '../../../src/agent/box/layouts/kernel-log.js';
import { logEvents, nothingCarried } from '../../../src/agent/probes/log-events.js';
import type { LogPlace } from '../../../src/agent/probes/log-places.js';

const places: readonly LogPlace[] = [
  {
    identityKey: 'wwn:a',
    logicalBlockBytes: 512,
    names: [
      { by: 'ata-port', name: 'ata3' },
      { by: 'scsi-address', name: '2:0:0:0' },
      { by: 'block-name', name: 'sdb' },
    ],
  },
  {
    identityKey: 'wwn:b',
    logicalBlockBytes: 512,
    names: [
      { by: 'scsi-address', name: '2:0:1:0' },
      { by: 'block-name', name: 'sdc' },
    ],
  },
];

type Line = readonly [monoMs: number, text: string];

function read(lines: readonly Line[], carried = nothingCarried) {
  const records = lines.map(
    ([monoMs, text], index): LogRecord => ({ sequence: index + 1, monoMs, level: 3, text }),
  );
  const told = logEvents({ records, afterSequence: 0, places, carried });
  const rows = told.events.map(({ identityKey, event }) => [identityKey, event.kind, event.text]);
  return { rows, events: told.events, carried: told.carried };
}

const failed =
  'ata3.00: cmd 60/08:00:00:10:00/00:00:00:00:00/40 tag 0 ncq dma 4096 in\n         res 41/04:00:00:10:00/00:00:00:00:00/00 Emask 0x1 (device error)';

test('attempts at one place are one event with a count, a later minute is another', () => {
  const { rows, events } = read([
    [1000, failed],
    [1100, failed],
    [3500, failed],
    [62_000, failed],
  ]);
  expect(rows).toEqual([
    ['wwn:a', 'command-failed', 'A command failed, 3 times within 3 s'],
    ['wwn:a', 'command-failed', 'A command failed'],
  ]);
  expect(events[0]?.event).toMatchObject({ positionBytes: 2_097_152, record: failed });
});

test('other places are other events', () => {
  const { events } = read([
    [1000, 'critical medium error, dev sdb, sector 4096 op 0x0:(READ) flags 0x0'],
    [1001, 'critical medium error, dev sdb, sector 4104 op 0x0:(READ) flags 0x0'],
  ]);
  expect(events.map(({ event }) => event.positionBytes)).toEqual([2_097_152, 2_101_248]);
});

test('a place that is named is not told again without its position', () => {
  const medium =
    'ata3.00: cmd 60/00:08:00:10:00/04:00:00:00:00/40 tag 1 ncq dma 524288 in\n         res 41/40:00:34:12:00/00:04:00:00:00/40 Emask 0x409 (media error) <F>';
  const { events } = read([
    [1000, medium],
    [1000, 'ata3.00: status: { DRDY ERR }'],
    [1000, 'ata3.00: error: { UNC }'],
    [1004, 'critical medium error, dev sdb, sector 4660 op 0x0:(READ) flags 0x0'],
  ]);
  expect(events.map(({ event }) => [event.kind, event.positionBytes, event.text])).toEqual([
    ['medium-error', 2_385_920, 'The drive could not read a place, 2 times within 1 s'],
  ]);
});

test('a forecast of failure is no corrected error', () => {
  const { rows } = read([
    [1000, 'sd 2:0:0:0: [sdb] tag#0 Sense Key : Recovered Error [current] '],
    [1000, 'sd 2:0:0:0: [sdb] tag#0 Add. Sense: Failure prediction threshold exceeded'],
    [2000, 'sd 2:0:1:0: [sdc] tag#0 Sense Key : Recovered Error [current] '],
    [2000, 'sd 2:0:1:0: [sdc] tag#0 Add. Sense: Recovered data with retries'],
  ]);
  expect(rows).toEqual([
    ['wwn:a', 'failure-predicted', 'The drive said on its own that it expects to fail'],
    ['wwn:b', 'recovered-error', 'The drive did what it was asked only after correcting an error'],
  ]);
});

test('of a thousand places at once twenty are kept, and how many more there were', () => {
  const lines = Array.from({ length: 1000 }, (_, index): Line => {
    return [1000, `critical medium error, dev sdb, sector ${index * 8} op 0x0:(READ) flags 0x0`];
  });
  const { events } = read(lines);
  expect(events.length).toBe(21);
  expect(events.at(-1)?.event).toMatchObject({
    positionBytes: 4_091_904,
    text: 'A place could not be read: the medium is bad there, the last of 980 more',
  });
});

const powerOn = 'Power-on or device reset occurred';

test('each drive is reset while it is found, which is no event; afterwards it is one', () => {
  const found = read([
    [500, 'scsi 2:0:0:0: Direct-Access     QUILLON  Disk 4 A1 PQ: 0 ANSI: 6'],
    [600, `scsi 2:0:0:0: ${powerOn}`],
    [700, `sd 2:0:0:0: ${powerOn}`],
    [800, 'sd 2:0:0:0: [sdb] Attached SCSI disk'],
  ]);
  expect(found.rows).toEqual([]);
  const later = read([[9000, `sd 2:0:0:0: ${powerOn}`]], found.carried);
  expect(later.rows).toEqual([
    ['wwn:a', 'drive-reset', 'The drive was reset, or its power came back'],
  ]);
  const again = read(
    [
      [20_000, 'scsi 2:0:0:0: Direct-Access     QUILLON  Disk 4 A1 PQ: 0 ANSI: 6'],
      [20_100, `sd 2:0:0:0: ${powerOn}`],
    ],
    later.carried,
  );
  expect(again.rows).toEqual([]);
});

test('SAS drives that are reset within two seconds share a cause; one by two names does not', () => {
  const ready = read([
    [100, 'sd 2:0:0:0: [sdb] Attached SCSI disk'],
    [100, 'sd 2:0:1:0: [sdc] Attached SCSI disk'],
  ]).carried;
  const both = read(
    [
      [9000, `sd 2:0:0:0: ${powerOn}`],
      [10_500, `sd 2:0:1:0: ${powerOn}`],
    ],
    ready,
  );
  expect(both.rows.map(([part, kind]) => [part, kind])).toEqual([
    ['wwn:a', 'drive-reset'],
    ['wwn:b', 'drive-reset'],
    ['wwn:a', 'power-pattern'],
    ['wwn:b', 'power-pattern'],
  ]);
  const one = read([
    [9000, 'ata3: hard resetting link'],
    [9001, 'sd 2:0:0:0: rejecting I/O to offline device'],
  ]);
  expect(one.rows.map(([, kind]) => kind)).toEqual(['link-reset', 'drive-gone']);
});

test('links that are set up anew when the box wakes up are no events, half a minute later they are', () => {
  const { rows } = read([
    [5000, 'PM: suspend entry (deep)'],
    [5100, 'ata3: hard resetting link'],
    [5200, 'PM: suspend exit'],
    [9000, 'ata3: hard resetting link'],
    [36_000, 'ata3: hard resetting link'],
  ]);
  expect(rows).toEqual([['wwn:a', 'link-reset', 'The SATA link was reset']]);
});
