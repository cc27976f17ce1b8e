import { describe, expect, it, test } from 'vitest';
import { collectPages } from '../../../src/agent/probes/collect-pages.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import { addressFor, oneDriveBox } from '../../box/one-drive-box.js';
import { makeSimClock } from '../../box/sim-clock.js';
import { makeSimDrive } from '../../box/sim-drive.js';
import { figure, figures, interpreted, reading } from './capture-of.js';

/*
 * SAS by HGST C15K600 p. 138, 139, 150 and the Seagate SCSI Commands Reference Rev. J p. 336, 358;
 * NVMe by Linux 6.1 include/linux/nvme.h, its log 01h from memory.
 */

describe('SAS links', () => {
  const found = interpreted('sas-links');

  test('speed and counters of each port', () => {
    expect(figure(found, 'sas-link-speed', 'port 1, phy 0')).toBe(6_000_000_000); // Ah
    expect(figure(found, 'sas-link-speed', 'port 2, phy 1')).toBe(12_000_000_000); // Bh
    const events = found.readings.filter(({ metric }) => metric === 'link-events');
    expect(events.map(({ place, value }) => [place, value])).toEqual([
      ['port 1, phy 0, invalid words', 7],
      ['port 1, phy 0, wrong disparity', 3],
      ['port 1, phy 0, word boundary lost', 2],
      ['port 1, phy 0, reset that failed', 0],
      ['port 2, phy 1, invalid words', 4_294_967_295],
      ['port 2, phy 1, wrong disparity', 0],
      ['port 2, phy 1, word boundary lost', 0],
      ['port 2, phy 1, reset that failed', 0],
    ]);
    expect(events[4]?.text).toBe('this many or more');
  });

  test('the maker’s own page and the minutes since the last format', () => {
    expect(figure(found, 'temperature-highest')).toBe(51); // 33h
    const hours = Object.fromEntries(found.hourCounters.map((one) => [one.name, one.hours]));
    expect(hours).toMatchObject({
      'Hours since the last format': 25_000, // 16E360h minutes
      'Power-on hours, maker’s own page': 42_256, // A510h
    });
  });

  test('pages that end too early give reasons', () => {
    const cut = interpreted('sas-links-cut');
    expect(reading(cut, 'link-events').why).toContain('expected 1 phys');
    expect(reading(cut, 'temperature-highest').why).toContain('bytes');
    expect(cut.hourCounters.map(({ hours }) => hours)).toEqual([null, null, null]);
  });

  test('a stopped drive, ones that mean none, and another maker’s page', () => {
    const none = interpreted('sas-links-none');
    // Sense 04h/02h "start needed": what was not asked for was left alone.
    expect(reading(none, 'temperature').state).toBe('asleep');
    expect(reading(none, 'power-mode')).toMatchObject({ value: 0, text: 'standby: asleep' });
    expect(figure(none, 'sas-link-speed', 'port 1, phy 0')).toBe('no-figure');
    expect(reading(none, 'temperature-highest').why).toContain('meaning not known');
    expect(none.hourCounters.slice(1).map(({ hours }) => hours)).toEqual([null, null]);
  });

  it('stores the sense that said "stopped" in place of the one that said nothing', async () => {
    const taken = '2026-01-01T00:00:00.000Z';
    const clock = makeSimClock(Date.parse(taken));
    const identity = { model: 'GRANITE 15K', serial: 'GR-1', capacityBytes: 6e11 };
    const drive = makeSimDrive({ kind: 'sas-disk', ...identity, clock });
    drive.state.standby = true;
    const { box } = oneDriveBox(drive);
    const silent = Uint8Array.from([0x70, 0, 0, 0, 0, 0, 0, 10, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    const quiet = {
      ...box,
      scsi: async (...asked: Parameters<typeof box.scsi>) => {
        const [, command] = asked;
        if (command.cdb[0] !== 0x03) return box.scsi(...asked);
        return { ok: true as const, value: { data: silent, sense: new Uint8Array(0) } };
      },
    };
    const options = { taken, rare: false, skipIfAsleep: true };
    const { capture, asleep } = await collectPages(quiet, addressFor('scsi'), options);
    expect(asleep).toBe(true);
    const senses = capture.pages.filter(({ record }) => record === 'request-sense');
    // Key 2, code 04h, qualifier 02h of the answer to TEST UNIT READY.
    expect(senses.map(({ data }) => [data[2], data[12], data[13]])).toEqual([[2, 4, 2]]);
    expect(reading(interpret(capture), 'temperature').state).toBe('asleep');
  });
});

describe('NVMe errors and heat', () => {
  test('counts, the newest error, and times past the limits', () => {
    const found = interpreted('nvme-errors');
    expect(figure(found, 'errors-logged')).toBe(12);
    expect(reading(found, 'last-error-logged')).toMatchObject({
      value: 0x281,
      text: 'a place could not be read, block 305419896', // 12345678h
    });
    expect(figure(found, 'time-over-temperature', 'warning')).toBe(300); // 012Ch
    expect(figure(found, 'time-over-temperature', 'critical')).toBe(5);
    expect(found.remarks).toEqual([
      'Two counters disagree: 9 unsafe shutdowns in 5 power cycles',
      'The drive holds 1073741824 bytes that no namespace shows',
    ]);
  });

  test('logs that end too early', () => {
    const found = interpreted('nvme-errors-cut');
    expect(reading(found, 'errors-logged').why).toContain('expected at least 512 bytes');
    expect(reading(found, 'last-error-logged').why).toContain('in steps of 64');
    expect(figure(found, 'time-over-temperature', 'warning')).toBe('no-figure');
  });

  test('an empty log, and a counter that no counting can have reached', () => {
    const found = interpreted('nvme-errors-none');
    expect(figures(found, { 'errors-logged': 0 })).toEqual({ 'errors-logged': 'no-figure' });
    expect(found.readings.some(({ metric }) => metric === 'last-error-logged')).toBe(false);
    expect(found.remarks).toEqual([]);
  });
});
