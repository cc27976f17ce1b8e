import { describe, expect, test } from 'vitest';
import {
  sctRecoveryTimer,
  sctTemperatureTable,
} from '../../../src/agent/box/layouts/commands-ata.js';
import { collectPages } from '../../../src/agent/probes/collect-pages.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import { addressFor, oneDriveBox } from '../../box/one-drive-box.js';
import { makeSimClock } from '../../box/sim-clock.js';
import { makeSimDrive } from '../../box/sim-drive.js';
import { figure, interpreted, reading } from './capture-of.js';

/*
 * Worked out by hand from tests/captures/settings-*.hex with Linux 6.1 include/linux/ata.h, HGST
 * HC580 p. 96 (timers), Hitachi 7K1000.C p. 98 (table), and ACS from memory.
 */

function settings(name: string) {
  const found = interpreted(name);
  const all = found.readings.filter(({ metric }) => metric === 'drive-setting');
  return Object.fromEntries(all.map(({ place, value, text }) => [place, [value, text]]));
}

describe('settings, timers and table that are there', () => {
  const found = interpreted('settings-and-timers');

  test('settings', () => {
    expect(settings('settings-and-timers')).toEqual({
      'write cache': [0, 'off'],
      'read ahead': [1, 'on'],
      'power levels': [1, 'on, level 128 of 254'], // word 91 = 0080h
      'standby at power-on': [1, 'on'],
      password: [1, 'on'],
      'password lock': [0, 'open'], // word 128 = 0003h
      trim: [0, 'not there'],
      'command queue': [1, 'there'],
      sanitize: [1, 'overwrite, block erase, change of the key'], // F000h
      zones: [1, 'host-aware'],
    });
  });

  test('timers in steps of 100 ms', () => {
    expect(figure(found, 'error-recovery-time-limit')).toBe(7000); // 46h = 70
    expect(figure(found, 'error-recovery-time-limit', 'writing')).toBe(30_000); // 012Ch = 300
  });

  test('limits of the temperature table', () => {
    expect(figure(found, 'temperature-limit', 'recommended')).toBe(60); // 3Ch
    expect(figure(found, 'temperature-limit', 'allowed')).toBe(65); // 41h
    // 1Fh, 24h, F6h; 80h is a gap.
    expect(reading(found, 'temperature-highest', 'kept history')).toMatchObject({
      value: 36,
      text: '3 temperatures, 10 min apart, -10 to 36 °C',
    });
  });

  test('what a person should know', () => {
    // 01D1E0BEB0h = 7 816 134 320 sectors against 7 814 037 168: 2 097 152 apart.
    expect(figure(found, 'hidden-sectors')).toBe(2_097_152);
    expect(found.remarks).toEqual([
      'The drive hides 2097152 sectors (1073741824 bytes) behind its shown capacity',
      'The drive stays still at power-on until it is told to start (a setting, no fault)',
      'A password is set in the drive',
      'The drive writes in zones (host-aware): long writes can become slow',
      'The drive tells two capacities: 7814037168 sectors in IDENTIFY DEVICE, 7816134320 in its log 30h',
    ]);
  });
});

test('pages that end too early give reasons', () => {
  const found = interpreted('settings-cut');
  expect(reading(found, 'error-recovery-time-limit').why).toContain('expected at least 12 bytes');
  expect(reading(found, 'error-recovery-time-limit', 'writing').why).toContain('lost the answer');
  expect(reading(found, 'temperature-limit', 'allowed').why).toContain('expected at least 512');
  expect(found.remarks.some((remark) => remark.includes('two capacities'))).toBe(false);
});

test('words of ones, a timer that is off and an echo are no figures', () => {
  const found = interpreted('settings-not-told');
  expect(settings('settings-not-told')).toEqual({});
  expect(reading(found, 'error-recovery-time-limit').why).toContain('switched off');
  expect(reading(found, 'error-recovery-time-limit', 'writing').why).toContain('own registers');
  expect(figure(found, 'temperature-limit', 'recommended')).toBe('no-figure');
  expect(figure(found, 'temperature-highest', 'kept history')).toBe('no-figure');
  expect(found.remarks).toEqual([]);
});

describe('asking for them', () => {
  test('the questions carry words that set nothing', () => {
    const words = (bytes: Uint8Array | undefined) => [...(bytes ?? [])].slice(0, 8);
    // HGST HC580 p. 96: action 3, function 2 (get), timer 1 or 2.
    expect(words(sctRecoveryTimer('read').dataOut)).toEqual([3, 0, 2, 0, 1, 0, 0, 0]);
    expect(words(sctRecoveryTimer('write').dataOut)).toEqual([3, 0, 2, 0, 2, 0, 0, 0]);
    // HGST HC310 p. 105: action 5, function 1, table 2.
    expect(words(sctTemperatureTable().dataOut)).toEqual([5, 0, 1, 0, 2, 0, 0, 0]);
    expect(sctRecoveryTimer('read').dataOut?.length).toBe(512);
  });

  const options = { taken: '2026-01-01T00:00:00.000Z', skipIfAsleep: true };

  function ask(rare: boolean) {
    const clock = makeSimClock(Date.parse(options.taken));
    const identity = { model: 'Larkspur LV4000', serial: 'LK-1', capacityBytes: 4e12 };
    const drive = makeSimDrive({ kind: 'sata-disk', ...identity, clock });
    const { box, asked } = oneDriveBox(drive);
    return collectPages(box, addressFor('ata'), { ...options, rare }).then((found) => ({
      ...found,
      asked,
    }));
  }

  test('only in the round for rare logs', async () => {
    const { asked, capture } = await ask(false);
    expect(asked.filter((name) => name.startsWith('SCT'))).toEqual([]);
    const found = interpret(capture);
    const metrics = found.readings.map(({ metric }) => metric);
    expect(metrics).not.toContain('error-recovery-time-limit');
  });

  test('never through a USB bridge', async () => {
    const clock = makeSimClock(Date.parse(options.taken));
    const identity = { model: 'Larkspur LV4000', serial: 'LK-1', capacityBytes: 4e12 };
    const { box, asked } = oneDriveBox(makeSimDrive({ kind: 'sata-disk', ...identity, clock }));
    await collectPages(box, addressFor('usb'), { ...options, rare: true });
    expect(asked).toContain('IDENTIFY DEVICE');
    expect(asked.filter((name) => name.startsWith('SCT'))).toEqual([]);
  });

  test('a disk of the simulated box tells 7 s and its table', async () => {
    const { capture } = await ask(true);
    const found = interpret(capture);
    expect(figure(found, 'error-recovery-time-limit')).toBe(7000);
    expect(figure(found, 'error-recovery-time-limit', 'writing')).toBe(7000);
    expect(typeof figure(found, 'temperature-limit', 'recommended')).toBe('number');
  });
});
