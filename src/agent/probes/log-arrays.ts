import { diskOf, isWholeDisk } from './log-block.js';
import type { Found, LogSubject, Rule } from './log-fact.js';

function ofDisk(kind: Found['kind'], text: string): Rule[1] {
  return ([, name]) => ({ kind, text, subject: diskOf(name) });
}

function ofArray(kind: Found['kind'], text: string): Rule[1] {
  return ([, name]) => ({ kind, text, subject: { by: 'array', name: name ?? '' } });
}

const corruption = 'The file system found itself damaged';

/**
 * Arrays and file systems. Source: Linux 6.1 drivers/md/raid1.c, raid5.c, raid10.c and md.c,
 * fs/ext4/super.c, fs/jbd2, fs/xfs/xfs_message.c and xfs_fsops.c, fs/btrfs/messages.c.
 */
export const arrayRules: readonly Rule[] = [
  [
    /^md\/raid\d*:\w+: Disk failure on (\w+), disabling device/,
    ofDisk('array-member-failed', 'Its array took it out because of errors'),
  ],
  [
    /^md: kicking non-fresh (\w+) from array/,
    ofDisk('array-member-failed', 'Its array started without it, because what it holds is older'),
  ],
  [
    /^md\/raid\d*:\w+: read error corrected \(\d+ sectors at (\d+) on (\w+)\)/,
    (match) =>
      onMember('array-repaired', 'Its array wrote a place anew that could not be read', match),
  ],
  [
    /^md\/raid\d*:\w+: read error not correctable \(sector (\d+) on (\w+)\)/,
    (match) =>
      onMember('array-read-failed', 'Its array could not make good a place that was lost', match),
  ],
  [
    /^md\/raid\d*:(\w+): (?:\w+: )?unrecoverable I\/O read error for block/,
    ofArray('array-read-failed', 'The array could not make good a place that was lost'),
  ],
  [
    /^md\/raid\d*:(\w+): (?:not enough operational|Cannot continue operation|cannot start dirty)/,
    ofArray('array-failed', 'The array cannot run: too many of its members are missing'),
  ],
  [/^EXT4-fs error \(device ([\w-]+)/, ofDisk('file-system-error', corruption)],
  [
    /^EXT4-fs \(([\w-]+)\): Remounting filesystem read-only/,
    ofDisk('file-system-stopped', 'The file system takes no more writes after errors'),
  ],
  [
    /^Aborting journal on device ([\w]+)/,
    ofDisk('file-system-stopped', 'The file system gave its journal up after errors'),
  ],
  [
    /^XFS \(([\w-]+)\): .*(?:Shutting down filesystem|Filesystem has been shut down|Shutting down\.)/i,
    ofDisk('file-system-stopped', 'The file system stopped after errors'),
  ],
  [
    /^XFS \(([\w-]+)\): .*(?:corruption|log I\/O error|metadata I\/O error)/i,
    ofDisk('file-system-error', corruption),
  ],
  [
    /^BTRFS (?:error|warning) \(device ([\w-]+)[^)]*\): (?:csum failed|checksum error)/,
    ofDisk('file-system-error', 'The file system found data that is not what was written'),
  ],
  [
    /^BTRFS info \(device ([\w-]+)[^)]*\): forced readonly/,
    ofDisk('file-system-stopped', 'The file system takes no more writes after errors'),
  ],
  [/^BTRFS (?:error|critical) \(device ([\w-]+)/, ofDisk('file-system-error', corruption)],
];

/** A place on a member that is a partition is no place on the drive. */
function onMember(kind: Found['kind'], text: string, match: RegExpExecArray): Found {
  const [, sector, member = ''] = match;
  const subject: LogSubject = diskOf(member);
  if (!isWholeDisk(member)) return { kind, text, subject };
  return { kind, text, subject, position: { unit: '512-bytes', number: Number(sector) } };
}
