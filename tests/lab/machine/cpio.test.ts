import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { writeArchive } from './cpio.js';
import { dependenciesOf } from './modules.js';

// Header fields of the "newc" form after its magic, 8 digits each (the kernel's own document
// buffer-format.rst): inode, mode, user, group, links, time, bytes, four device numbers, name
// bytes with the closing zero, checksum.
function header(fields: { mode: string; bytes: string; nameBytes: string }): string {
  const zeros = '00000000';
  return [
    '070701',
    zeros,
    fields.mode,
    zeros.repeat(2),
    '00000001',
    zeros,
    fields.bytes,
    zeros.repeat(4),
    fields.nameBytes,
    zeros,
  ].join('');
}

it('writes folders once and first, then files and links, padded to four bytes', () => {
  const folder = mkdtempSync(join(tmpdir(), 'bayward-cpio-'));
  writeFileSync(join(folder, 'from'), 'xyz');
  writeArchive(join(folder, 'archive'), [
    { path: 'a/b', mode: 0o755, data: Buffer.from('hello') },
    { path: 'a/c', mode: 0o644, fromFile: join(folder, 'from') },
    { path: 'l', linkTo: 'a/b' },
  ]);
  const expected = [
    header({ mode: '000041ed', bytes: '00000000', nameBytes: '00000002' }),
    'a\0',
    header({ mode: '000081ed', bytes: '00000005', nameBytes: '00000004' }),
    'a/b\0\0\0hello\0\0\0',
    header({ mode: '000081a4', bytes: '00000003', nameBytes: '00000004' }),
    'a/c\0\0\0xyz\0',
    header({ mode: '0000a1ff', bytes: '00000003', nameBytes: '00000002' }),
    'l\0a/b\0',
    header({ mode: '00000000', bytes: '00000000', nameBytes: '0000000b' }),
    'TRAILER!!!\0\0\0\0',
  ].join('');
  expect(readFileSync(join(folder, 'archive'), 'latin1')).toBe(expected);
  rmSync(folder, { recursive: true });
});

it('reads the dependencies that a kernel module names in its own description', () => {
  const text = (depends: string) =>
    Buffer.from(`\x7fELF\0license=GPL\0depends=${depends}\0retpoline=Y\0`);
  expect(dependenciesOf(text('libata,scsi-mod'))).toEqual(['libata', 'scsi_mod']);
  expect(dependenciesOf(text(''))).toEqual([]);
  expect(dependenciesOf(Buffer.from('no description'))).toEqual([]);
});
