import { expect, test } from 'vitest';
import { beyondConsent, consentText, lookAtSurface } from '../../../src/agent/burn-in/look.js';
import { makePattern, stampBuffer, stampedBuffer } from '../../../src/agent/burn-in/pattern.js';
import { samplePlaces } from '../../../src/agent/burn-in/sample-places.js';
import { marksFor } from '../../../src/agent/burn-in/signatures.js';
import { MemoryDrive } from './memory-drive.js';

const mebibyte = 1024 * 1024;
const sizeBytes = 16 * mebibyte;

async function lookAt(drive: MemoryDrive) {
  const opened = drive.open({ write: false, exclusive: true });
  if (!opened.ok) throw new Error('not opened');
  const look = await lookAtSurface(opened.value, 'seed');
  await opened.value.close();
  return look;
}

/** Place and first bytes, worked out from the published layouts for a drive of 16 MiB. */
const planted: readonly [string, number, readonly number[] | string][] = [
  ['partition-table', 510, [0x55, 0xaa]],
  ['gpt', 512, 'EFI PART'],
  ['gpt', 4096, 'EFI PART'],
  ['gpt-backup', 16_777_216 - 512, 'EFI PART'],
  ['gpt-backup', 16_777_216 - 4096, 'EFI PART'],
  ['ext', 1080, [0x53, 0xef]],
  ['xfs', 0, 'XFSB'],
  ['btrfs', 65_600, '_BHRfS_M'],
  ['ntfs', 3, 'NTFS    '],
  ['exfat', 3, 'EXFAT   '],
  ['fat', 82, 'FAT32   '],
  ['luks', 0, [0x4c, 0x55, 0x4b, 0x53, 0xba, 0xbe]],
  ['lvm', 512, 'LABELONE'],
  ['swap', 4086, 'SWAPSPACE2'],
  ['linux-raid', 4096, [0xfc, 0x4e, 0x2b, 0xa9]],
  // Metadata 1.0: 32 768 sectors - 16 = 32 752, on whole eights: byte 16 769 024.
  ['linux-raid', 16_769_024, [0xfc, 0x4e, 0x2b, 0xa9]],
  // Metadata 0.90: 64 KiB before the end on whole 64 KiB: byte 16 711 680, little and big first.
  ['linux-raid', 16_711_680, [0xfc, 0x4e, 0x2b, 0xa9]],
  ['linux-raid', 16_711_680, [0xa9, 0x2b, 0x4e, 0xfc]],
  ['zfs', 131_072, [0x0c, 0xb1, 0xba, 0, 0, 0, 0, 0]],
  ['zfs', 16_777_216 - 262_144 + 131_072 + 9 * 1024, [0, 0, 0, 0, 0, 0xba, 0xb1, 0x0c]],
  ['firmware-raid', 16_777_216 - 1024, 'Intel Raid ISM Cfg Sig.'],
];

test.each(planted)('%s at byte %i is named', async (name, at, bytes) => {
  const drive = new MemoryDrive({ sizeBytes });
  drive.bytes.set(typeof bytes === 'string' ? Buffer.from(bytes) : bytes, at);
  const look = await lookAt(drive);
  expect(look.found.map((one) => one.name)).toContain(name);
  expect(look.found.map((one) => one.name)).toContain('unknown-data');
});

test('a blank drive and a drive full of our own stamps hold nothing unknown', async () => {
  const drive = new MemoryDrive({ sizeBytes });
  expect((await lookAt(drive)).found).toEqual([]);
  const pattern = makePattern({ seed: 'any', pass: 1, drive: drive.identity, sectorBytes: 512 });
  const buffer = stampedBuffer(drive.bytes);
  stampBuffer(pattern, buffer, 0);
  expect((await lookAt(drive)).found).toEqual([]);
});

test('a mark in the middle of our own filling is not taken for a file system', async () => {
  const drive = new MemoryDrive({ sizeBytes });
  const pattern = makePattern({ seed: 'any', pass: 1, drive: drive.identity, sectorBytes: 512 });
  stampBuffer(pattern, stampedBuffer(drive.bytes), 0);
  drive.bytes.set([0x55, 0xaa], 510);
  expect((await lookAt(drive)).found).toEqual([]);
});

test('a place that cannot be read cannot be called blank', async () => {
  const drive = new MemoryDrive({ sizeBytes });
  drive.unreadable.set(9000, 'unreadable');
  expect((await lookAt(drive)).found).toEqual([
    { name: 'unreadable-place', words: 'a place that cannot be read', atByte: 4 * mebibyte },
  ]);
});

test('consent is a text of names; what was not named stays beyond it', async () => {
  const drive = new MemoryDrive({ sizeBytes });
  drive.bytes.set(Buffer.from('XFSB'), 0);
  const look = await lookAt(drive);
  expect(consentText(look)).toBe('unknown-data xfs');
  expect(beyondConsent(look, ['unknown-data', 'xfs'])).toEqual([]);
  expect(beyondConsent(look, ['unknown-data']).map(({ name }) => name)).toEqual(['xfs']);
});

test('a large drive is looked at whole at both ends and at 128 places between', () => {
  const large = { sizeBytes: 8_001_563_222_016, sectorBytes: 512 };
  const places = samplePlaces(large, 'one');
  const covers = (byte: number) =>
    places.some(({ fromByte, bytes }) => fromByte <= byte && byte < fromByte + bytes);
  for (const byte of [0, 4 * mebibyte, large.sizeBytes - 1, large.sizeBytes - 4 * mebibyte]) {
    expect(covers(byte), `byte ${byte}`).toBe(true);
  }
  expect(places.length).toBeGreaterThan(120);
  const inOrder = places.every(
    (place, index) => index === 0 || place.fromByte >= (places[index - 1]?.fromByte ?? 0),
  );
  expect(inOrder).toBe(true);
  for (const { fromByte, bytes } of places) {
    expect(fromByte % 512).toBe(0);
    expect(bytes % 512).toBe(0);
    expect(fromByte + bytes).toBeLessThanOrEqual(large.sizeBytes);
  }
  const others = samplePlaces(large, 'two').filter(
    ({ fromByte }) => !places.some((place) => place.fromByte === fromByte),
  );
  expect(others.length).toBeGreaterThan(50);
});

test('every mark lies within what is read at the ends, for odd sizes too', () => {
  for (const size of [8_001_563_222_016, 500_107_862_016, 300 * mebibyte + 512]) {
    const places = samplePlaces({ sizeBytes: size, sectorBytes: 512 }, 'x');
    for (const mark of marksFor(size)) {
      const inside = places.some(
        ({ fromByte, bytes }) =>
          fromByte <= mark.at && mark.at + mark.bytes.length <= fromByte + bytes,
      );
      expect(inside, `${mark.name} at ${mark.at} of ${size}`).toBe(true);
    }
  }
});
