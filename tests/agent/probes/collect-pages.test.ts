import { describe, expect, it } from 'vitest';
import type { Box, DriveAddress } from '../../../src/agent/box/box.js';
import { missing } from '../../../src/agent/box/box.js';
import { collectPages } from '../../../src/agent/probes/collect-pages.js';
import type { Capture, RawPage } from '../../../src/checks/capture.js';
import { addressFor, oneDriveBox } from '../../box/one-drive-box.js';
import { makeSimClock } from '../../box/sim-clock.js';
import { makeSimDrive, type SimDrive } from '../../box/sim-drive.js';
import type { SimDriveOptions } from '../../box/sim-drive-state.js';

const taken = '2026-01-01T00:00:00.000Z';
const usual = { taken, rare: false, skipIfAsleep: true };

function drive(changes: Partial<SimDriveOptions> = {}) {
  const clock = makeSimClock(Date.parse(taken));
  const made = makeSimDrive({
    kind: 'sata-disk',
    model: 'Larkspur LV4000',
    serial: 'LK-20417',
    capacityBytes: 4e12,
    clock,
    ...changes,
  });
  return { drive: made, clock, ...oneDriveBox(made) };
}

function named(capture: Capture): string[] {
  return capture.pages.filter((page) => !page.failed).map(nameOf);
}

function nameOf(page: RawPage): string {
  const log = page.log === undefined ? '' : ` ${page.log.toString(16)}`;
  return `${page.record}${log}${page.page ? `/${page.page.toString(16)}` : ''}`;
}

function failures(capture: Capture): Record<string, string> {
  const failed = capture.pages.filter((page) => page.failed);
  return Object.fromEntries(failed.map((page) => [nameOf(page), page.failed?.reason ?? '']));
}

const ata = addressFor('ata');

describe('asking a SATA disk', () => {
  it('asks for power mode first, then identity, then what it says it keeps', async () => {
    const { box, asked } = drive();
    const { capture, asleep, powerKnown } = await collectPages(box, ata, usual);
    expect({ asleep, powerKnown }).toEqual({ asleep: false, powerKnown: true });
    expect(asked.slice(0, 2)).toEqual(['CHECK POWER MODE', 'IDENTIFY DEVICE']);
    expect(capture).toMatchObject({ taken, commandSet: 'ata' });
    expect(named(capture)).toEqual([
      'power-mode',
      'identify-device',
      'smart-data',
      'smart-thresholds',
      'smart-status',
      'log 6',
      'log 0',
      'log 4',
      'log 4/1',
      'log 4/3',
      'log 4/4',
      'log 4/5',
      'log 4/6',
      'log 7',
      'log e0',
    ]);
    expect(failures(capture)).toEqual({});
  });

  it('keeps registers as twelve bytes', async () => {
    const { box, drive: sim } = drive();
    sim.state.failing = true;
    const { capture } = await collectPages(box, ata, usual);
    const bytes = (record: string) => [
      ...(capture.pages.find((page) => page.record === record)?.data ?? []),
    ];
    // Error, status, device, count high and low, six LBA bytes lowest first, 0.
    expect(bytes('power-mode')).toEqual([0, 0x50, 0, 0, 0xff, 0, 0, 0, 0, 0, 0, 0]);
    expect(bytes('smart-status')).toEqual([0, 0x50, 0, 0, 0, 0, 0xf4, 0x2c, 0, 0, 0, 0]);
  });

  it('asks a sleeping disk nothing more and does not wake it, a hundred times', async () => {
    const { box, drive: sim, asked } = drive();
    sim.state.standby = true;
    for (let round = 0; round < 100; round += 1) {
      const { capture, asleep } = await collectPages(box, ata, usual);
      expect(asleep).toBe(true);
      expect(named(capture)).toEqual(['power-mode']);
    }
    expect(new Set(asked)).toEqual(new Set(['CHECK POWER MODE']));
    expect(sim.state.spinUps).toBe(0);
  });

  it('wakes it when told to, and says that it slept', async () => {
    const { box, drive: sim } = drive();
    sim.state.standby = true;
    const collected = await collectPages(box, ata, { ...usual, skipIfAsleep: false });
    expect(collected.asleep).toBe(true);
    expect(named(collected.capture)).toContain('smart-data');
    expect(sim.state.spinUps).toBe(1);
    expect(sim.state.wokenBy).toEqual(['SMART READ DATA']);
  });

  it('asks no records of a disk that says it keeps none', async () => {
    const { box, drive: sim, asked } = drive();
    Object.assign(sim.state.keeps, {
      smart: false,
      generalLogs: false,
      statistics: false,
      sct: false,
      selfTests: false,
    });
    const { capture } = await collectPages(box, ata, usual);
    expect(asked).toEqual(['CHECK POWER MODE', 'IDENTIFY DEVICE']);
    expect(failures(capture)).toEqual({
      'smart-data': 'Not asked: the drive does not do SMART',
      'smart-thresholds': 'Not asked: the drive does not do SMART',
      'smart-status': 'Not asked: the drive does not do SMART',
      'log 4': 'Not asked: the drive does not list Device Statistics',
    });
  });

  it('reads the statistics by the old command where there is no READ LOG EXT', async () => {
    const { box, drive: sim, asked } = drive();
    sim.state.keeps.generalLogs = false;
    const { capture } = await collectPages(box, ata, usual);
    expect(asked.some((name) => name.startsWith('READ LOG EXT'))).toBe(false);
    expect(named(capture)).toContain('log 4/3');
    const page = capture.pages.find((one) => one.log === 4 && one.page === 5);
    expect(page?.data.length).toBe(512);
    expect(page?.data[2]).toBe(5);
  });

  it('reads the self-test log when only SMART data says that self-tests work', async () => {
    const { box } = drive();
    const realAta = box.ata;
    const half: Box = {
      ...box,
      ata: async (address, command) => {
        const answer = await realAta(address, command);
        if (command.command !== 0xec || !answer.ok) return answer;
        // Words 84 and 87 as an emulated disk has them: marked valid, no bit set.
        answer.value.data.set([0x00, 0x40], 168);
        answer.value.data.set([0x00, 0x40], 174);
        return answer;
      },
    };
    const { capture } = await collectPages(half, ata, usual);
    expect(named(capture)).toContain('log 6');
    expect(named(capture)).not.toContain('log 0');
  });

  it('never asks SCT of the models that stop answering for it', async () => {
    const { box, asked } = drive({ model: 'TOSHIBA DT01ACA300' });
    await collectPages(box, ata, usual);
    expect(asked).not.toContain('SMART READ LOG E0h');
  });

  it('reads the rare logs only when told to', async () => {
    const { box } = drive();
    const { capture } = await collectPages(box, ata, { ...usual, rare: true });
    expect(named(capture)).toEqual(expect.arrayContaining(['log 1', 'log 3', 'log 11']));
  });

  it('stops after the first command that is not answered', async () => {
    const { box, drive: sim, asked } = drive();
    sim.state.faults.hang = true;
    const { capture } = await collectPages(box, ata, usual);
    expect(asked).toEqual(['CHECK POWER MODE']);
    const reason = 'No answer to CHECK POWER MODE in 10000 ms';
    const notAsked = ['identify-device', 'smart-data', 'smart-thresholds', 'smart-status'];
    expect(failures(capture)).toEqual({
      'power-mode': reason,
      ...Object.fromEntries(
        [...notAsked, 'log 4', 'log 6', 'log e0'].map((page) => [page, `Not asked: ${reason}`]),
      ),
    });
  });

  it('stops in the middle too, and says of each page that it was not asked', async () => {
    const { box, drive: sim, asked } = drive();
    const realAta = box.ata;
    const hangingLater: Box = {
      ...box,
      ata: (address, command) => {
        if (command.feature === 0xd1) sim.state.faults.hang = true;
        return realAta(address, command);
      },
    };
    const { capture } = await collectPages(hangingLater, ata, usual);
    expect(asked.at(-1)).toBe('SMART READ THRESHOLDS');
    expect(named(capture)).toEqual(['power-mode', 'identify-device', 'smart-data']);
    expect(failures(capture)['smart-status']).toMatch(/^Not asked: No answer to SMART READ THR/);
  });

  it('keeps lost registers as failed pages, never as a pass', async () => {
    const { box, drive: sim } = drive();
    sim.state.faults.losesRegisters = true;
    const { capture, asleep, powerKnown } = await collectPages(box, ata, usual);
    expect({ asleep, powerKnown }).toEqual({ asleep: false, powerKnown: false });
    expect(failures(capture)).toEqual({
      'power-mode': 'A bridge or controller on the way lost the answer to CHECK POWER MODE',
      'smart-status': 'A bridge or controller on the way lost the answer to SMART RETURN STATUS',
    });
  });

  it('does not send again what the drive has refused', async () => {
    const { box, drive: sim, asked } = drive();
    const refusals = new Map<string, string>();
    const realAta = box.ata;
    const refusing: Box = {
      ...box,
      ata: (address, command) => {
        if (command.feature !== 0xd1) return realAta(address, command);
        asked.push(command.name);
        return Promise.resolve(missing('refused', 'The drive does not do SMART READ THRESHOLDS'));
      },
    };
    await collectPages(refusing, ata, { ...usual, refusals });
    const { capture } = await collectPages(refusing, ata, { ...usual, refusals });
    expect(asked.filter((name) => name === 'SMART READ THRESHOLDS')).toHaveLength(1);
    expect(failures(capture)['smart-thresholds']).toBe(
      'Not asked: The drive does not do SMART READ THRESHOLDS',
    );
    sim.state.serial = 'LK-20999';
    await collectPages(refusing, ata, { ...usual, refusals });
    expect(asked.filter((name) => name === 'SMART READ THRESHOLDS')).toHaveLength(2);
  });

  it('collects nothing and throws nothing when the drive is gone', async () => {
    const { box, drive: sim } = drive();
    sim.state.faults.vanished = true;
    const { capture } = await collectPages(box, ata, usual);
    expect(named(capture)).toEqual([]);
    expect(failures(capture)['power-mode']).toMatch(/gone/);
  });
});

describe('asking a solid-state drive', () => {
  it('lists the page of a drive without a spindle', async () => {
    const { box } = drive({ kind: 'sata-ssd' });
    const { capture } = await collectPages(box, ata, usual);
    expect(named(capture)).toContain('log 4/7');
    expect(named(capture)).not.toContain('log 4/3');
  });
});

describe('asking an NVMe drive', () => {
  const nvme = addressFor('nvme');

  it('asks who it is, its health and its self-tests', async () => {
    const { box } = drive({ kind: 'nvme' });
    const { capture, asleep } = await collectPages(box, nvme, usual);
    expect(asleep).toBe(false);
    expect(capture.commandSet).toBe('nvme');
    expect(named(capture)).toEqual([
      'identify-controller',
      'identify-namespace',
      'nvme-log 2',
      'nvme-log 6',
    ]);
    const lengths = capture.pages.map((page) => page.data.length);
    expect(lengths).toEqual([4096, 4096, 512, 564]);
    expect(capture.pages[1]?.nsid).toBe(1);
  });

  it('asks for no self-tests where the controller has none, and for errors when rare', async () => {
    const { box, drive: sim, asked } = drive({ kind: 'nvme' });
    sim.state.keeps.selfTests = false;
    const { capture } = await collectPages(box, nvme, { ...usual, rare: true });
    expect(asked).not.toContain('Get Log Page 06h');
    expect(failures(capture)).toEqual({
      'nvme-log 6': 'Not asked: the drive does not do self-tests',
    });
    // Byte 262 says three more than one entry of 64 bytes.
    expect(capture.pages.find((page) => page.log === 1)?.data.length).toBe(256);
  });
});

describe('asking a SAS disk', () => {
  const scsi = addressFor('scsi');
  const options = { kind: 'sas-disk', model: 'Quillon QS600' } as const;

  it('asks who it is, then whether it sleeps, then the pages it lists', async () => {
    const { box, asked } = drive(options);
    const { capture, asleep } = await collectPages(box, scsi, usual);
    expect(asleep).toBe(false);
    expect(asked.slice(0, 3)).toEqual(['INQUIRY', 'REQUEST SENSE', 'TEST UNIT READY']);
    expect(named(capture)).toEqual([
      'inquiry',
      'request-sense',
      'vpd',
      'vpd/80',
      'vpd/83',
      'vpd/b1',
      'read-capacity-16',
      'log-sense 0',
      'log-sense 2',
      'log-sense 3',
      'log-sense 5',
      'log-sense 6',
      'log-sense 8',
      'log-sense d',
      'log-sense e',
      'log-sense 10',
      'log-sense 15',
      'log-sense 19',
      'log-sense 2f',
      'log-sense 0',
      'log-sense 15',
    ]);
    expect(capture.pages.slice(-2).map((page) => page.subpage)).toEqual([0xff, 0x01]);
  });

  it('cuts pages at the length that they declare', async () => {
    const { box } = drive(options);
    const { capture } = await collectPages(box, scsi, usual);
    const selfTests = capture.pages.find((page) => page.log === 0x10);
    // 4 bytes of head and 20 results of 20 bytes.
    expect(selfTests?.data.length).toBe(404);
  });

  it('leaves a sleeping disk asleep', async () => {
    const { box, drive: sim, asked } = drive(options);
    sim.state.standby = true;
    const { capture, asleep } = await collectPages(box, scsi, usual);
    expect(asleep).toBe(true);
    expect(named(capture)).toEqual(['inquiry', 'request-sense']);
    expect(asked).toEqual(['INQUIRY', 'REQUEST SENSE']);
    expect(sim.state.spinUps).toBe(0);
  });

  it('believes TEST UNIT READY when REQUEST SENSE does not tell', async () => {
    const { box, drive: sim } = drive(options);
    sim.state.standby = true;
    const realScsi = box.scsi;
    const quiet: Box = {
      ...box,
      scsi: async (address, command) => {
        const answer = await realScsi(address, command);
        if (command.cdb[0] === 0x03 && answer.ok) answer.value.data.fill(0, 1);
        return answer;
      },
    };
    const { asleep } = await collectPages(quiet, scsi, usual);
    expect(asleep).toBe(true);
    expect(sim.state.spinUps).toBe(0);
  });

  it('asks again for a page that is longer than the first transfer', async () => {
    const { box, drive: sim } = drive(options);
    const realScsi = box.scsi;
    const transfers: number[] = [];
    const long: Box = {
      ...box,
      scsi: async (address, command) => {
        const answer = await realScsi(address, command);
        if (command.name !== 'LOG SENSE page 15h' || !answer.ok) return answer;
        transfers.push(command.transferBytes);
        const page = new Uint8Array(Math.min(command.transferBytes, 6000));
        page.set([0x15, 0, 5996 >> 8, 5996 & 0xff]);
        return { ok: true, value: { data: page, sense: new Uint8Array(0) } };
      },
    };
    const { capture } = await collectPages(long, scsi, usual);
    expect(transfers).toEqual([4096, 6000]);
    expect(capture.pages.find((page) => page.log === 0x15)?.data.length).toBe(6000);
    expect(sim.state.spinUps).toBe(0);
  });

  it('goes over to ATA for a SATA drive on a SAS card', async () => {
    const { box, drive: sim } = drive();
    sim.state.standby = true;
    const { capture, asleep } = await collectPages(box, scsi, usual);
    expect(capture.commandSet).toBe('ata');
    expect(asleep).toBe(true);
    expect(named(capture)).toEqual(['inquiry', 'power-mode']);
  });
});

describe('asking through a USB bridge', () => {
  const usb = addressFor('usb');

  function passingNothing(sim: { box: Box }, page89: boolean): Box {
    return {
      ...sim.box,
      ata: async (_: DriveAddress, command) =>
        missing('not-supported', `The drive does not know the command on ${command.name}`),
      scsi: async (address, command) => {
        const page = command.cdb[0] === 0x12 && command.cdb[1] === 1 ? command.cdb[2] : 0;
        if (page === 0x89 && !page89) return missing('refused', 'No such page');
        return sim.box.scsi(address, command);
      },
    };
  }

  it('is like SATA when the bridge passes commands', async () => {
    const { box } = drive();
    const { capture } = await collectPages(box, usb, usual);
    expect(capture.commandSet).toBe('ata');
    expect(named(capture)).toEqual(expect.arrayContaining(['inquiry', 'smart-data', 'log 4/1']));
  });

  it('keeps the identity that the bridge carries, and says what it hides', async () => {
    const sim = drive();
    const { capture, powerKnown } = await collectPages(passingNothing(sim, true), usb, usual);
    expect(powerKnown).toBe(false);
    expect(capture.commandSet).toBe('ata');
    expect(named(capture)).toEqual(['inquiry', 'vpd/89']);
    expect(failures(capture)['smart-data']).toBe('Not asked: the bridge passes no drive commands');
  });

  it('keeps what the bridge tells of itself when it hides the drive', async () => {
    const sim = drive();
    const { capture } = await collectPages(passingNothing(sim, false), usb, usual);
    expect(capture.commandSet).toBe('scsi');
    expect(named(capture)).toEqual(['inquiry', 'vpd', 'vpd/80', 'vpd/83', 'vpd/b1']);
    expect(failures(capture)['identify-device']).toBe(
      'The USB bridge, not the drive, does not know the command on IDENTIFY DEVICE',
    );
  });

  it('does not excuse a drive that gives no answer', async () => {
    const sim = drive();
    const silent = async () => missing<never>('timed-out', 'The drive did not answer in time');
    const { capture } = await collectPages({ ...sim.box, ata: silent }, usb, usual);
    expect(failures(capture)['power-mode']).toBe('The drive did not answer in time');
  });

  it('sends a refusing bridge its commands once', async () => {
    const sim = drive();
    const refusals = new Map<string, string>();
    let sent = 0;
    const inner = passingNothing(sim, false);
    const box: Box = {
      ...inner,
      ata: (address, command) => {
        sent += 1;
        return inner.ata(address, command);
      },
    };
    await collectPages(box, usb, { ...usual, refusals });
    const { capture } = await collectPages(box, usb, { ...usual, refusals });
    expect(sent).toBe(2);
    expect(failures(capture)['identify-device']).toBe(
      'Not asked: The USB bridge, not the drive, does not know the command on IDENTIFY DEVICE',
    );
  });
});

describe('asking a virtual disk', () => {
  it('asks nothing and says why', async () => {
    const { box, asked } = drive();
    const { capture, powerKnown } = await collectPages(box, addressFor('virtual'), usual);
    expect(asked).toEqual([]);
    expect(powerKnown).toBe(false);
    expect(failures(capture)).toEqual({
      'identify-device': 'Not asked: a virtual disk keeps no records',
    });
  });
});

/** Every drive of the simulation must survive being asked for everything. */
describe('rare rounds', () => {
  const kinds: ReadonlyArray<readonly [SimDriveOptions['kind'], DriveAddress['reachedBy']]> = [
    ['sata-disk', 'ata'],
    ['sata-ssd', 'ata'],
    ['nvme', 'nvme'],
    ['sas-disk', 'scsi'],
  ];
  for (const [kind, reachedBy] of kinds) {
    it(`of a ${kind} bring no failed page`, async () => {
      const made: { drive: SimDrive; box: Box } = drive({ kind });
      const address = addressFor(reachedBy);
      const { capture } = await collectPages(made.box, address, { ...usual, rare: true });
      expect(failures(capture)).toEqual({});
    });
  }
});
