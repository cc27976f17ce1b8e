import { describe, expect, test } from 'vitest';
import { namespaceList, nvmeFeatureValue } from '../../../src/agent/box/layouts/commands-nvme.js';
import { collectPages } from '../../../src/agent/probes/collect-pages.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import { addressFor, oneDriveBox } from '../../box/one-drive-box.js';
import { makeSimClock } from '../../box/sim-clock.js';
import { makeSimDrive } from '../../box/sim-drive.js';
import { captureOf, figure, interpreted, reading } from './capture-of.js';

/*
 * Worked out by hand from tests/captures/nvme-settings*.hex with NVM Express (from memory); offsets
 * of the health log: Linux 6.1 include/linux/nvme.h.
 */

describe('settings, namespaces and work that are there', () => {
  const found = interpreted('nvme-settings');

  test('thresholds of warmth and where it slows itself', () => {
    expect(figure(found, 'temperature-limit', 'set to warn above')).toBe(70); // 0157h = 343 K
    expect(figure(found, 'temperature-limit', 'set to warn below')).toBe(0); // 0111h = 273 K
    expect(figure(found, 'temperature-limit', 'slows a little from')).toBe(60); // 014Dh = 333 K
    expect(figure(found, 'temperature-limit', 'slows more from')).toBe(80); // 0161h = 353 K
    expect(figure(found, 'slowed-by-heat', 'a little')).toBe(7);
    expect(figure(found, 'slowed-by-heat', 'more')).toBe(2);
    expect(figure(found, 'time-slowed-by-heat', 'a little')).toBe(600); // 0258h
    expect(figure(found, 'time-slowed-by-heat', 'more')).toBe(60); // 3Ch
  });

  test('its self-tests', () => {
    expect(reading(found, 'drive-setting', 'self-tests').text).toBe('short, extended');
    expect(figure(found, 'self-test-time', 'extended')).toBe(30); // 1Eh
  });

  test('cache and trim', () => {
    expect(reading(found, 'drive-setting', 'write cache')).toMatchObject({ value: 1, text: 'on' });
    expect(reading(found, 'drive-setting', 'trim')).toMatchObject({ value: 1, text: 'there' });
  });

  test('each namespace with its blocks, and what lies outside', () => {
    expect(found.identity).toMatchObject({
      capacityBytes: 1_099_511_627_776, // 10000000h blocks of 4096 bytes
      logicalBlockBytes: 4096,
    });
    expect(figure(found, 'namespace-size', 'namespace 1')).toBe(1_099_511_627_776);
    expect(figure(found, 'namespace-size', 'namespace 3')).toBe(536_870_912); // 100000h of 512
    expect(reading(found, 'drive-setting', 'namespace 1').text).toBe('blocks of 4096 bytes');
    expect(reading(found, 'drive-setting', 'namespace 3')).toMatchObject({
      value: 512,
      text: 'blocks of 512 bytes and 8 bytes beside each, protection of type 2, may promise more than there is',
    });
    expect(figure(found, 'space-without-namespace')).toBe(1_073_741_824); // 40000000h
  });

  test('work', () => {
    expect(figure(found, 'read-commands')).toBe(1_000_000); // 0F4240h
    expect(figure(found, 'write-commands')).toBe(500_000); // 07A120h
    expect(figure(found, 'busy-time')).toBe(720); // 02D0h
  });

  test('where the self-test failed', () => {
    expect(reading(found, 'self-test-result').text).toBe(
      'Extended self-test failed: part known at 9999 h, part 3 of the test, first failing block 4096 (status 281h)',
    );
  });
});

const ofSettings = ['namespace-size', 'slowed-by-heat', 'busy-time', 'space-without-namespace'];

test('pages that end too early give reasons and no figure', () => {
  const found = interpreted('nvme-settings-cut');
  expect(found.readings.filter(({ state }) => state === 'measured')).toEqual([]);
  expect(reading(found, 'temperature-limit', 'set to warn above').why).toContain(
    'expected at least 4 bytes, found 2',
  );
  expect(reading(found, 'temperature-limit', 'slows more from').why).toContain('found 3');
  expect(found.remarks).toContain('List of namespaces: expected at least 4096 bytes, found 12');
});

test('values that mean none', () => {
  const found = interpreted('nvme-settings-none');
  expect(reading(found, 'temperature-limit', 'set to warn above').why).toBe(
    'No threshold is set (above)',
  );
  expect(reading(found, 'temperature-limit', 'slows a little from').why).toBe(
    'It is not told to slow itself',
  );
  expect(reading(found, 'drive-setting', 'write cache')).toMatchObject({
    value: 0,
    text: 'not there, or it keeps its content without power',
  });
  expect(reading(found, 'drive-setting', 'trim').text).toBe('not there');
  const metrics = found.readings.map(({ metric }) => metric);
  expect(metrics).not.toContain('read-commands');
  expect(metrics).not.toContain('busy-time');
  expect(metrics).not.toContain('namespace-size');
});

test('a list of namespaces that does not rise is damage', () => {
  const capture = captureOf('nvme-settings');
  const pages = capture.pages.map((page) => {
    if (page.record !== 'namespace-list') return page;
    return { ...page, data: Uint8Array.from([3, 0, 0, 0, 1, 0, 0, 0, ...new Uint8Array(4088)]) };
  });
  const found = interpret({ ...capture, pages });
  expect(found.remarks).toContain('List of namespaces: expected rising numbers, found 3, 1');
});

describe('asking for them', () => {
  const options = { taken: '2026-01-01T00:00:00.000Z', skipIfAsleep: true };

  async function ask(rare: boolean) {
    const clock = makeSimClock(Date.parse(options.taken));
    const identity = { model: 'Tolvane TN1', serial: 'TN-1', capacityBytes: 1e12 };
    const { box, asked } = oneDriveBox(makeSimDrive({ kind: 'nvme', ...identity, clock }));
    const { capture } = await collectPages(box, addressFor('nvme'), { ...options, rare });
    return { asked, found: interpret(capture) };
  }

  test('the questions set nothing', () => {
    // Opcode 0Ah is Get Features; 09h would set. Bits 21:20 of dword 11: 1 the lower threshold.
    expect(nvmeFeatureValue(0x04, 0x10_0000)).toMatchObject({
      opcode: 0x0a,
      cdw10: 0x04,
      cdw11: 0x10_0000,
      transferBytes: 0,
    });
    expect(namespaceList()).toMatchObject({ opcode: 0x06, nsid: 0, cdw10: 2 });
  });

  test('only in the round for rare logs', async () => {
    const { asked, found } = await ask(false);
    expect(asked.filter((name) => /Features|list/.test(name))).toEqual([]);
    const places = found.readings.map(({ place }) => place);
    expect(places).not.toContain('set to warn above');
    expect(ofSettings.slice(1, 3)).toEqual(['slowed-by-heat', 'busy-time']);
  });

  test('a drive of the simulated box tells them', async () => {
    const { asked, found } = await ask(true);
    expect(asked.filter((name) => name.includes('Features'))).toEqual([
      'Get Features 04h',
      'Get Features 04h',
      'Get Features 06h',
      'Get Features 10h',
    ]);
    expect(figure(found, 'namespace-size', 'namespace 1')).toBe(1e12);
    expect(reading(found, 'drive-setting', 'write cache').text).toBe('on');
    expect(figure(found, 'temperature-limit', 'slows more from')).toBe('no-figure');
    expect(found.remarks).toEqual([]);
  });
});
