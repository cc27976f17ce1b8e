import { describe, expect, it } from 'vitest';
import type { AbsenceKind } from '../../../src/agent/box/box.js';
import { deviceAbsence, kernelFileAbsence } from '../../../src/agent/box/errno-class.js';
import { identifyController, nvmeLog } from '../../../src/agent/box/layouts/commands-nvme.js';
import { inquiry } from '../../../src/agent/box/layouts/commands-scsi.js';
import {
  fillNvmeHeader,
  nvmeHeaderBytes,
  readNvmeResult,
} from '../../../src/agent/box/layouts/nvme-header.js';
import { nvmeAbsence } from '../../../src/agent/box/layouts/nvme-status.js';
import { scsiAnswer } from '../../../src/agent/box/layouts/scsi-outcome.js';
import {
  absenceFromSense,
  isUnitAttention,
  readSense,
  saysStopped,
} from '../../../src/agent/box/layouts/sense.js';
import {
  fillSgHeader,
  readSgOutcome,
  sgHeaderBytes,
} from '../../../src/agent/box/layouts/sg-header.js';
import { joinNames } from '../../../src/agent/box/machine-facts.js';

function fixedSense(key: number, code: number, qualifier: number): Uint8Array {
  const sense = new Uint8Array(18);
  sense.set([0x70, 0, key, 0, 0, 0, 0, 10]);
  sense[12] = code;
  sense[13] = qualifier;
  return sense;
}

/** Keys and codes: SPC and SBC, from memory; 0B/00/00, 03/11/04, 04/44/00: Linux 6.1 libata. */
const senseKinds: ReadonlyArray<readonly [number, number, number, AbsenceKind]> = [
  [2, 0x04, 0x01, 'busy'],
  [2, 0x04, 0x02, 'busy'],
  [2, 0x3a, 0x00, 'not-there'],
  [3, 0x11, 0x00, 'unreadable'],
  [3, 0x11, 0x04, 'unreadable'],
  [4, 0x44, 0x00, 'aborted'],
  [5, 0x20, 0x00, 'not-supported'],
  [5, 0x24, 0x00, 'refused'],
  [5, 0x21, 0x00, 'refused'],
  [5, 0x25, 0x00, 'gone'],
  [6, 0x29, 0x00, 'busy'],
  [7, 0x27, 0x00, 'not-permitted'],
  [11, 0x00, 0x00, 'aborted'],
  [11, 0x47, 0x00, 'aborted'],
  [11, 0x10, 0x01, 'damaged'],
  [14, 0x1d, 0x00, 'damaged'],
  [15, 0x00, 0x00, 'aborted'],
];

describe('sense data', () => {
  for (const [key, code, qualifier, kind] of senseKinds) {
    it(`${key}/${code}/${qualifier} is ${kind} in both formats`, () => {
      const descriptor = Uint8Array.from([0x72, key, code, qualifier, 0, 0, 0, 0]);
      for (const sense of [fixedSense(key, code, qualifier), descriptor]) {
        expect(absenceFromSense('INQUIRY', sense).kind).toBe(kind);
      }
    });
  }

  it('names command and numbers in the sentence', () => {
    expect(absenceFromSense('INQUIRY', fixedSense(3, 0x11, 0x04)).text).toBe(
      'The drive could not read the place on INQUIRY (sense 03/11/04)',
    );
  });

  it('that is no sense is no success', () => {
    for (const sense of [[], [0x70], [0x00, 0, 1], [0x7f, 0, 0, 0]]) {
      expect(readSense(Uint8Array.from(sense))).toBeNull();
      expect(absenceFromSense('INQUIRY', Uint8Array.from(sense)).kind).toBe('aborted');
    }
  });

  it('tells a reset from other things', () => {
    expect(isUnitAttention(fixedSense(6, 0x29, 0))).toBe(true);
    expect(isUnitAttention(fixedSense(2, 0x04, 2))).toBe(false);
  });

  it('says stopped for "start needed" and for the standby conditions only', () => {
    // SPC-4, from memory: 5Eh/02 and 04 standby, 09 and 0A standby_y, 00 and 01 low power and idle.
    const stopped = [0x02, 0x04, 0x09, 0x0a].map((qualifier) => fixedSense(0, 0x5e, qualifier));
    const turning = [0x00, 0x01, 0x03, 0x05, 0x08].map((qualifier) =>
      fixedSense(0, 0x5e, qualifier),
    );
    expect([...stopped, fixedSense(2, 0x04, 0x02)].map(saysStopped)).toEqual(Array(5).fill(true));
    expect([...turning, fixedSense(2, 0x04, 0x01), fixedSense(0, 0, 0)].map(saysStopped)).toEqual(
      Array(7).fill(false),
    );
  });
});

describe('what a SCSI command brought', () => {
  const good = { status: 0, hostStatus: 0, driverStatus: 0, sense: new Uint8Array(0) };
  const data = Uint8Array.from([5]);

  it('is its data, with the sense of a recovered error', () => {
    expect(scsiAnswer('INQUIRY', { ...good, data })).toEqual({
      ok: true,
      value: { data, sense: new Uint8Array(0) },
    });
    const sense = fixedSense(1, 0x5d, 0x10);
    expect(scsiAnswer('INQUIRY', { ...good, status: 2, sense, data }).ok).toBe(true);
  });

  it('is the class of its status byte when there is no sense', () => {
    // SAM, from memory: 08h busy, 18h reservation conflict, 28h task set full, 40h task aborted.
    const kinds = [0x08, 0x18, 0x28, 0x40, 0x02].map((status) => {
      const answer = scsiAnswer('INQUIRY', { ...good, status, data });
      return answer.ok ? 'ok' : answer.absence.kind;
    });
    expect(kinds).toEqual(['busy', 'not-permitted', 'busy', 'aborted', 'aborted']);
  });

  it('keeps the sense bytes of a failure', () => {
    const sense = fixedSense(2, 0x04, 0x02);
    const answer = scsiAnswer('TEST UNIT READY', { ...good, status: 2, sense, data });
    expect(answer.ok ? null : answer.absence.sense).toEqual(sense);
  });
});

describe('the headers that the kernel reads', () => {
  it('lay SG_IO out in 88 bytes', () => {
    const header = new Uint8Array(sgHeaderBytes);
    fillSgHeader(
      header,
      {
        direction: 'from-drive',
        commandBytes: 16,
        dataBytes: 512,
        senseBytes: 64,
        timeoutMs: 10_000,
      },
      { data: 0x1122334455667788n, command: 0x10n, sense: 0x20n },
    );
    // struct sg_io_hdr, Linux 6.1 include/scsi/sg.h, offsets as the compiler lays them.
    expect(header.length).toBe(88);
    expect(Buffer.from(header).toString('hex')).toBe(
      [
        '53000000', // interface 'S'
        'fdffffff', // from device, -3
        '10400000', // 16 command bytes, 64 sense bytes, no vector
        '00020000', // 512 bytes
        '8877665544332211',
        '1000000000000000',
        '2000000000000000',
        '10270000', // 10 000 ms
        '0000000000000000',
        '00000000', // padding before the pointer
        '0000000000000000',
        '0000000000000000',
        '0000000000000000',
        '0000000000000000',
      ].join(''),
    );
  });

  it('give back what was moved and as much sense as came', () => {
    const header = new Uint8Array(sgHeaderBytes);
    const view = new DataView(header.buffer);
    header[64] = 2;
    header[67] = 3;
    view.setUint16(68, 3, true);
    view.setUint16(70, 8, true);
    view.setInt32(72, 100, true);
    const outcome = readSgOutcome(header, {
      data: new Uint8Array(512),
      sense: Uint8Array.from([0x70, 0, 1, 9, 9]),
    });
    expect(outcome).toEqual({
      status: 2,
      hostStatus: 3,
      driverStatus: 8,
      sense: Uint8Array.from([0x70, 0, 1]),
      data: new Uint8Array(412),
    });
  });

  it('lay the NVMe admin command out in 72 bytes', () => {
    const header = new Uint8Array(nvmeHeaderBytes);
    fillNvmeHeader(header, nvmeLog(0x02, 512), 0x1000n);
    // struct nvme_passthru_cmd, Linux 6.1 include/uapi/linux/nvme_ioctl.h.
    const view = new DataView(header.buffer);
    expect(header.length).toBe(72);
    expect(header[0]).toBe(0x02);
    expect(view.getUint32(4, true)).toBe(0xffffffff);
    expect(view.getBigUint64(24, true)).toBe(0x1000n);
    expect(view.getUint32(36, true)).toBe(512);
    // Log 02h of 512 bytes: 127 dwords more than one, above the log's number.
    expect(view.getUint32(40, true)).toBe(0x007f0002);
    expect(view.getUint32(64, true)).toBe(10_000);
    view.setUint32(68, 77, true);
    expect(readNvmeResult(header)).toBe(77);
  });

  it('count the dwords of a log one less than there are', () => {
    // 564 bytes of log 06h: 141 dwords, NUMDL 8Ch.
    expect(nvmeLog(0x06, 564).cdw10).toBe(0x008c0006);
    expect(identifyController()).toMatchObject({ opcode: 6, cdw10: 1, transferBytes: 4096 });
  });

  it('give INQUIRY its six bytes', () => {
    expect([...inquiry().cdb]).toEqual([0x12, 0, 0, 0, 96, 0]);
  });
});

describe('NVMe status', () => {
  it('is told apart by type and code', () => {
    // 4001h, 4002h, 400Bh as an emulated controller answers; 4281h unrecovered read.
    const kinds = [0x4001, 0x4002, 0x400b, 0x4281, 0x4282, 0x4109, 0x4286, 0x0006].map(
      (status) => nvmeAbsence('Get Log Page 06h', status).kind,
    );
    expect(kinds).toEqual([
      'not-supported',
      'not-supported',
      'gone',
      'unreadable',
      'damaged',
      'not-supported',
      'not-permitted',
      'aborted',
    ]);
  });
});

describe('error numbers', () => {
  it('of a device are classes, not one', () => {
    const names = ['ENODATA', 'EIO', 'EILSEQ', 'ETIMEDOUT', 'ENXIO', 'ENODEV', 'ENOENT'];
    const more = ['EACCES', 'EPERM', 'EBUSY', 'EROFS', 'ENOMEDIUM', 'EINVAL', 'ENOSPC', 'EWHAT'];
    const kinds = [...names, ...more].map((code) => {
      return deviceAbsence('Reading', Object.assign(new Error(code), { code })).kind;
    });
    expect(kinds).toEqual([
      'unreadable',
      'aborted',
      'damaged',
      'timed-out',
      'gone',
      'gone',
      'gone',
      'not-permitted',
      'not-permitted',
      'busy',
      'not-permitted',
      'not-there',
      'not-supported',
      'refused',
      'aborted',
    ]);
  });

  it('are known by number too, also those that Node has no name for', () => {
    // Linux: 5 EIO, 61 ENODATA, 84 EILSEQ, 110 ETIMEDOUT, 123 ENOMEDIUM.
    expect([5, 61, 84, 110, 123].map((errno) => deviceAbsence('Asking', errno).kind)).toEqual([
      'aborted',
      'unreadable',
      'damaged',
      'timed-out',
      'not-there',
    ]);
    const unnamed = Object.assign(new Error('?'), {
      code: 'Unknown system error -123',
      errno: -123,
    });
    expect(deviceAbsence('Reading', unnamed).kind).toBe('not-there');
  });

  it('of a kernel file mean other things than on a drive', () => {
    const kindOf = (code: string) =>
      kernelFileAbsence('/sys/x', Object.assign(new Error(code), { code })).kind;
    expect(['ENOENT', 'ENODATA', 'EINVAL', 'EACCES', 'ENODEV'].map(kindOf)).toEqual([
      'not-there',
      'not-supported',
      'not-supported',
      'not-permitted',
      'gone',
    ]);
  });
});

describe('names of board and processor', () => {
  it('carry the maker once and are null when the firmware tells nothing', () => {
    expect(joinNames('Tolvane', 'Tolvane T1')).toBe('Tolvane T1');
    expect(joinNames('Tolvane', 'T1')).toBe('Tolvane T1');
    expect(joinNames('', 'T1')).toBe('T1');
    expect(joinNames('To Be Filled By O.E.M.', 'Default string')).toBeNull();
    expect(joinNames('', '')).toBeNull();
  });
});
