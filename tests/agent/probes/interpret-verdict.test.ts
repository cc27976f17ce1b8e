import { expect, test } from 'vitest';
import { interpret } from '../../../src/agent/probes/interpret.js';
import type { Capture, RawPage } from '../../../src/checks/capture.js';
import { captureOf, reading } from './capture-of.js';

function verdict(capture: Capture) {
  return reading(interpret(capture), 'drive-verdict');
}

function without(capture: Capture, record: string): Capture {
  return { ...capture, pages: capture.pages.filter((page) => page.record !== record) };
}

function withPage(capture: Capture, page: RawPage): Capture {
  return { ...capture, pages: [...without(capture, page.record).pages, page] };
}

const lost: RawPage = {
  record: 'smart-status',
  data: new Uint8Array(0),
  failed: { reason: 'The way to the drive lost the registers' },
};

test('lost answer, every attribute above its threshold: not failing, and from where', () => {
  // tests/captures/pending-sectors.hex: attribute 5 is pre-fail, stands at 99, threshold 36.
  const found = verdict(withPage(captureOf('pending-sectors'), lost));
  expect(found).toMatchObject({
    value: 0,
    text: 'No attribute that warns of failure is at its threshold',
  });
  expect(found.source).toBe(
    'attributes against thresholds, because the drive’s own answer was lost',
  );
});

test('a status that was never asked for is no good news', () => {
  const found = verdict(without(captureOf('pending-sectors'), 'smart-status'));
  expect(found).toMatchObject({ value: null, state: 'no-figure' });
  expect(found.why).toBe('The capture holds no SMART status');
});

test('a status that was never asked for does not hide bad news', () => {
  // tests/captures/failing-disk.hex: attribute 5 stands at 1, threshold 36.
  const found = verdict(without(captureOf('failing-disk'), 'smart-status'));
  expect(found).toMatchObject({ value: 1, state: 'measured' });
});

test('no thresholds, no stand-in', () => {
  const lostBoth = without(withPage(captureOf('failing-disk'), lost), 'smart-thresholds');
  expect(verdict(lostBoth)).toMatchObject({
    state: 'no-figure',
    why: 'The way to the drive lost the registers; The capture holds no SMART thresholds',
  });
});

test('a status command that was aborted is no answer, though its registers look like one', () => {
  // ABRT 04h, status 51h, and 4Fh C2h as they were sent.
  const data = Uint8Array.from([4, 0x51, 0x40, 0, 0, 0, 0x4f, 0xc2, 0, 0, 0, 0]);
  const aborted = withPage(captureOf('failing-disk'), { record: 'smart-status', data });
  expect(verdict(aborted)).toMatchObject({ value: 1 });
  const blind = without(without(aborted, 'smart-data'), 'smart-thresholds');
  expect(verdict(blind).state).toBe('no-figure');
});

test('a passing status with an attribute at its threshold is told and remarked on', () => {
  const data = Uint8Array.from([0, 0x50, 0x40, 0, 0, 0, 0x4f, 0xc2, 0, 0, 0, 0]);
  const found = interpret(withPage(captureOf('failing-disk'), { record: 'smart-status', data }));
  expect(reading(found, 'drive-verdict').value).toBe(0);
  expect(found.remarks).toContain(
    'Attribute 5 is at or below its threshold, yet the drive says that it is not failing',
  );
});

test('a virtual disk is not visible', () => {
  const reason = 'Not asked: a virtual disk keeps no records';
  const pages: RawPage[] = [
    { record: 'identify-device', data: new Uint8Array(0), failed: { reason } },
  ];
  const found = interpret({ taken: '2026-02-14T09:30:00Z', commandSet: 'ata', pages });
  expect(new Set(found.readings.map(({ state }) => state))).toEqual(new Set(['not-visible']));
  expect(found.readings[0]?.why).toBe(reason);
});

test('a drive that did not answer in time is not called hidden', () => {
  const reason = 'The drive did not answer in time to IDENTIFY DEVICE';
  const pages: RawPage[] = [
    { record: 'identify-device', data: new Uint8Array(0), failed: { reason } },
  ];
  const found = interpret({ taken: '2026-02-14T09:30:00Z', commandSet: 'ata', pages });
  expect(new Set(found.readings.map(({ state }) => state))).toEqual(new Set(['no-figure']));
});

test('a SCSI drive in standby is asleep', () => {
  // 5Eh/04h: standby by command (SPC-4, from memory).
  const data = Uint8Array.from([0x72, 0, 0x5e, 0x04, 0, 0, 0, 0]);
  const pages: RawPage[] = [{ record: 'request-sense', data }];
  const found = interpret({ taken: '2026-02-14T09:30:00Z', commandSet: 'scsi', pages });
  expect(reading(found, 'power-mode')).toMatchObject({ value: 0, text: 'standby: asleep' });
  expect(reading(found, 'temperature').state).toBe('asleep');
});

test('a bridge that answers only its own pages hides the drive in a SCSI capture too', () => {
  const sas = captureOf('sas-520-byte-blocks');
  const reason = 'The drive does not know the command on IDENTIFY DEVICE (sense 05/20/00)';
  const failed: RawPage = {
    record: 'identify-device',
    data: new Uint8Array(0),
    failed: { reason },
  };
  const found = interpret({ ...sas, pages: [...sas.pages, failed] });
  expect(reading(found, 'power-on-hours')).toMatchObject({ state: 'not-visible', why: reason });
  expect(found.remarks).toContain(
    'Model and serial are what the bridge in between says, not the drive itself',
  );
});
