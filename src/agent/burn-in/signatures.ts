/**
 * Marks that file systems, arrays, volume managers and partition tables leave at either end of a
 * drive. Offsets and bytes from the Linux kernel's headers (fs and drivers/md, from memory), the
 * UEFI specification (GPT), the ECMA-119 standard (ISO 9660) and the DDF specification, from
 * memory. A mark is evidence of data; no mark is no evidence of emptiness.
 */
export interface Mark {
  /** Short name, as a person consents to it. */
  readonly name: string;
  readonly words: string;
  /** Byte position: from the start, or from the end when negative. */
  readonly at: number;
  readonly bytes: readonly number[];
}

const ascii = (text: string) => [...text].map((letter) => letter.charCodeAt(0));
const kib = 1024;

function mark(name: string, words: string, at: number, bytes: readonly number[]): Mark {
  return { name, words, at, bytes };
}

const gptHeader = ascii('EFI PART');
const raidMember = 'member of a Linux RAID array';
const raidMagic = [0xfc, 0x4e, 0x2b, 0xa9];
const zfsMember = 'member of a ZFS pool';
const swapSpace = 'swap space';

/** Marks at places that do not depend on the size of the drive. */
const fixedMarks: readonly Mark[] = [
  mark('partition-table', 'boot sector or MBR partition table', 510, [0x55, 0xaa]),
  mark('gpt', 'GPT partition table', 512, gptHeader),
  mark('gpt', 'GPT partition table', 4 * kib, gptHeader),
  mark('gpt-backup', 'backup of a GPT partition table at the end', -512, gptHeader),
  mark('gpt-backup', 'backup of a GPT partition table at the end', -4 * kib, gptHeader),
  mark('ext', 'ext2, ext3 or ext4 file system', kib + 0x38, [0x53, 0xef]),
  mark('xfs', 'XFS file system', 0, ascii('XFSB')),
  mark('btrfs', 'btrfs file system', 64 * kib + 64, ascii('_BHRfS_M')),
  mark('ntfs', 'NTFS file system', 3, ascii('NTFS    ')),
  mark('exfat', 'exFAT file system', 3, ascii('EXFAT   ')),
  mark('fat', 'FAT file system', 54, ascii('FAT1')),
  mark('fat', 'FAT file system', 82, ascii('FAT32')),
  mark('refs', 'ReFS file system', 3, ascii('ReFS')),
  mark('bitlocker', 'encrypted Windows volume', 3, ascii('-FVE-FS-')),
  mark('hfs', 'HFS+ file system', kib, ascii('H+')),
  mark('hfs', 'HFS+ file system', kib, ascii('HX')),
  mark('apfs', 'APFS container', 32, ascii('NXSB')),
  mark('f2fs', 'F2FS file system', kib, [0x10, 0x20, 0xf5, 0xf2]),
  mark('jfs', 'JFS file system', 32 * kib, ascii('JFS1')),
  mark('reiserfs', 'ReiserFS file system', 64 * kib + 52, ascii('ReIsEr')),
  mark('iso9660', 'ISO 9660 file system', 32 * kib + 1, ascii('CD001')),
  mark(
    'bcachefs',
    'bcachefs file system',
    4 * kib + 24,
    [
      0xc6, 0x85, 0x73, 0xf6, 0x66, 0xce, 0x90, 0xa9, 0xd9, 0x6a, 0x60, 0xcf, 0x80, 0x3d, 0xf7,
      0xef,
    ],
  ),
  mark(
    'bcache',
    'bcache cache or backing device',
    4 * kib + 24,
    [
      0xc6, 0x85, 0x73, 0xf6, 0x4e, 0x1a, 0x45, 0xca, 0x82, 0x65, 0xf5, 0x7f, 0x48, 0xba, 0x6d,
      0x81,
    ],
  ),
  mark('luks', 'encrypted volume (LUKS)', 0, [0x4c, 0x55, 0x4b, 0x53, 0xba, 0xbe]),
  ...[0x4000, 0x8000, 0x1_0000, 0x2_0000, 0x4_0000, 0x8_0000, 0x10_0000, 0x20_0000, 0x40_0000].map(
    (at) => mark('luks', 'encrypted volume (LUKS)', at, [0x53, 0x4b, 0x55, 0x4c, 0xba, 0xbe]),
  ),
  ...[0, 512, kib, 1536].map((at) => mark('lvm', 'LVM physical volume', at, ascii('LABELONE'))),
  ...[4, 8, 16, 64].flatMap((page) => [
    mark('swap', swapSpace, page * kib - 10, ascii('SWAPSPACE2')),
    mark('swap', swapSpace, page * kib - 10, ascii('SWAP-SPACE')),
  ]),
  mark('linux-raid', raidMember, 0, raidMagic),
  mark('linux-raid', raidMember, 4 * kib, raidMagic),
  mark('firmware-raid', 'member of a firmware RAID', -1024, ascii('Intel Raid ISM Cfg Sig.')),
  mark('firmware-raid', 'member of a firmware RAID', -512, [0xde, 0x11, 0xde, 0x11]),
  mark('ceph', 'Ceph storage device', 0, ascii('bluestore block device')),
  mark('vmfs', 'VMFS file system', 1024 * kib, [0x0d, 0xd0, 0x01, 0xc0]),
];

/** Every mark to look for on a drive of this size, with places counted from its start. */
export function marksFor(sizeBytes: number): readonly Mark[] {
  const all = [...fixedMarks, ...raidMarksAtEnd(sizeBytes), ...zfsMarks(sizeBytes)];
  return all
    .map((one) => (one.at < 0 ? { ...one, at: sizeBytes + one.at } : one))
    .filter((one) => one.at >= 0 && one.at + one.bytes.length <= sizeBytes);
}

/** Linux RAID metadata 1.0 (8 KiB from the end, on 4 KiB) and 0.90 (64 KiB from it, on 64 KiB). */
function raidMarksAtEnd(sizeBytes: number): readonly Mark[] {
  const sectors = Math.floor(sizeBytes / 512);
  const newer = Math.floor((sectors - 16) / 8) * 8 * 512;
  const older = (Math.floor(sectors / 128) * 128 - 128) * 512;
  return [
    mark('linux-raid', raidMember, Math.max(newer, 0), raidMagic),
    mark('linux-raid', raidMember, Math.max(older, 0), raidMagic),
    mark('linux-raid', raidMember, Math.max(older, 0), [...raidMagic].reverse()),
  ];
}

/** The four labels of a ZFS member: each has 128 slots of 1 KiB for its newest state. */
function zfsMarks(sizeBytes: number): readonly Mark[] {
  const whole = Math.floor(sizeBytes / (256 * kib)) * 256 * kib;
  const labels = [0, 256 * kib, whole - 512 * kib, whole - 256 * kib].filter((at) => at >= 0);
  return labels.flatMap((label) =>
    Array.from({ length: 128 }, (_, slot) => label + 128 * kib + slot * kib).flatMap((at) => [
      mark('zfs', zfsMember, at, [0x0c, 0xb1, 0xba, 0x00, 0, 0, 0, 0]),
      mark('zfs', zfsMember, at, [0, 0, 0, 0, 0x00, 0xba, 0xb1, 0x0c]),
    ]),
  );
}

/** Bytes read at each end so that every mark lies within them. */
export const endBytes = 4 * 1024 * 1024 + 64 * kib;

/** Whether the mark stands in this piece of the drive, which begins at byte `pieceAt`. */
export function standsIn(one: Mark, piece: Uint8Array, pieceAt: number): boolean {
  const start = one.at - pieceAt;
  if (start < 0 || start + one.bytes.length > piece.length) return false;
  return one.bytes.every((byte, index) => piece[start + index] === byte);
}
