/** From a number on a part's page to its bytes. */
import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import type { LatestReading, NewestPage, PartRow } from '../../src/agent/store/rows.js';
import { captureOf } from '../agent/probes/capture-of.js';
import { appOver, fakeStore, nowMs } from './fake-store.js';

const at = { boot: 7, monoMs: 60_000, wallMs: nowMs - 3 * 3_600_000 };

const drive: PartRow = {
  id: 4,
  kind: 'drive',
  identityKey: 'serial:QK5N00417',
  name: 'QK5N00417',
  label: 'Quillon K5',
  details: { serial: 'QK5N00417' },
  firstBoot: 1,
  firstWallMs: nowMs - 10 * 86_400_000,
  lastSeen: at,
};

function latest(metric: string, own: Partial<LatestReading> = {}): LatestReading {
  return {
    seriesId: 1,
    boot: 7,
    monoMs: 60_000,
    wallMs: at.wallMs,
    lastMonoMs: 60_000,
    lastWallMs: at.wallMs,
    state: 'measured',
    value: 10_000,
    low: null,
    high: null,
    text: '',
    metric,
    place: '',
    unit: 'hours',
    source: 'NVMe health log 02h, power-on hours',
    firstValue: 9_600,
    firstWallMs: Date.UTC(2026, 0, 5, 12),
    ...own,
  };
}

const sensorFile = '/sys/class/hwmon/hwmon2/temp1_input';
const shown = [
  latest('power-on-hours'),
  latest('read-rate', { unit: 'bytes-per-second', source: '/sys/block/nvme0n1/stat' }),
  latest('temperature', { value: 38, unit: 'celsius', source: sensorFile, firstValue: null }),
];

function kept(): readonly NewestPage[] {
  return captureOf('nvme-healthy').pages.map((page) => ({
    page,
    commandSet: 'nvme',
    at,
    sha256: createHash('sha256').update(page.data).digest('hex'),
  }));
}

async function pageOf(path: string, pages = kept()) {
  const store = fakeStore({ parts: () => [drive], latest: () => shown, newestPages: () => pages });
  const response = await appOver({ openStore: () => store }).request(path);
  return { status: response.status, text: await response.text() };
}

/** What a person reads, with the words that only a screen reader tells. */
function words(html: string): string {
  return html.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');
}

const hoursPath = '/part/QK5N00417/bytes?figure=power-on-hours';

describe('the part page', () => {
  test('each number that a record told leads to its bytes, and no other', async () => {
    const { text } = await pageOf('/part/QK5N00417');
    expect(text).toContain(`href="${hoursPath}"`);
    expect(text).toContain('figure=temperature"');
    expect(text).not.toContain('figure=read-rate');
  });

  test('growth is told with its day and the first figure', async () => {
    const { text } = await pageOf('/part/QK5N00417');
    expect(words(text)).toContain('400 h more since 5 January 2026, first seen at 9 600 h');
  });

  test('without kept bytes no number pretends to have any', async () => {
    const { text } = await pageOf('/part/QK5N00417', []);
    expect(text).not.toContain('/bytes?');
  });
});

describe('the bytes of a figure', () => {
  test('page, time, source, place, order, value, and the marked row', async () => {
    const { status, text } = await pageOf(hoursPath);
    expect(status).toBe(200);
    const told = words(text);
    expect(told).toContain('10 000 h, from NVMe health log 02h, power-on hours');
    // Hours at byte 128 of the health log (Linux 6.1 struct nvme_smart_log).
    expect(told).toContain('Holds the figure: bytes 128 to 143, little-endian, = 10 000');
    expect(told).toContain('Read 3 h ago , 512 bytes, decoded by: Linux 6.1 nvme.h');
    // 10000 is 2710h, the lower byte first; a screen reader is told that they hold the figure.
    expect(told).toContain('128 10 figure 27 figure 00 figure');
    expect(told).toContain('bytes 0 to 127: nothing of this figure');
    expect(text).toContain('<b class="byte-figure">27</b>');
  });

  test('every byte on request', async () => {
    const { text } = await pageOf(`${hoursPath}&all=1`);
    expect(text).not.toContain('nothing of this figure');
    expect(text.match(/<th scope="row">/g)).toHaveLength(32);
  });

  test('a newer reading from elsewhere is told beside what the bytes say', async () => {
    const { text } = await pageOf('/part/QK5N00417/bytes?figure=temperature');
    const told = words(text);
    expect(told).toContain('37 °C, from NVMe health log 02h, composite temperature');
    expect(told).toContain(`Newest reading: 38 °C, 3 h ago , from ${sensorFile}`);
    expect(told).toContain('bytes 1 to 2, little-endian, = 310; less 273');
  });

  test('a figure of the kernel names its file and says that no record tells it', async () => {
    const { status, text } = await pageOf('/part/QK5N00417/bytes?figure=read-rate');
    expect(status).toBe(200);
    expect(words(text)).toContain('/sys/block/nvme0n1/stat');
    expect(words(text)).toContain('No record of the drive tells it');
  });

  test('nothing kept yet is said plainly', async () => {
    const { text } = await pageOf(hoursPath, []);
    expect(words(text)).toContain('No record of this drive is kept as bytes yet');
  });

  test.each([
    '?figure=fan-speed',
    '?figure=',
    '',
    `?figure=${'x'.repeat(300)}`,
    '?figure=%00/%3Cb',
  ])('no such figure: %s', async (query) => {
    const { status } = await pageOf(`/part/QK5N00417/bytes${query}`);
    expect(status).toBe(404);
  });
});
