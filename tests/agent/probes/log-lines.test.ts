import { describe, expect, test } from 'vitest';
import type { LogSubject } from '../../../src/agent/probes/log-fact.js';
import { logFact } from '../../../src/agent/probes/parse-kernel-log.js';

type Expected = readonly [
  line: string,
  kind: string,
  subject: readonly [LogSubject['by'], string],
  position?: { readonly unit: string; readonly number: number },
];

function check(rows: readonly Expected[]): void {
  test.each(rows.map((row) => [row[0], row] as const))('%j', (text, row) => {
    const [, kind, [by, name], position] = row;
    const fact = logFact({ sequence: 1, monoMs: 1, level: 3, text });
    expect(fact).toMatchObject({ kind, subject: { by, name }, position: position ?? null });
    expect(fact?.text).not.toMatch(/\bsd[a-z]|nvme\d|ata\d|\bmd\d/);
  });
}

const sectors = (number: number) => ({ unit: '512-bytes', number });
const blocks = (number: number) => ({ unit: 'blocks', number });
const ata3 = ['ata-port', 'ata3'] as const;
const first = ['scsi-address', '2:0:0:0'] as const;
const sdb = ['block-name', 'sdb'] as const;

/**
 * Words of Linux 6.1 drivers/ata/libata-eh.c and libata-core.c, from memory. The first two cmd
 * lines were read in the emulated machine (6.1), after a read of a bad sector 4096; the third is
 * answered from sector 0x1234 for a read of 0x400 sectors at 0x1000, the fourth from nowhere near
 * what was asked.
 */
describe('a SATA port', () => {
  check([
    ['ata3: hard resetting link', 'link-reset', ata3],
    ['ata3: COMRESET failed (errno=-16)', 'link-reset', ata3],
    ['ata3: SATA link down (SStatus 0 SControl 300)', 'link-lost', ata3],
    ['ata3: limiting SATA link speed to 3.0 Gbps', 'link-slowed', ata3],
    ['ata3.00: limiting speed to UDMA/66:PIO4', 'link-slowed', ata3],
    ['ata3.00: NCQ disabled due to excessive errors', 'queue-off', ata3],
    ['ata3.00: qc timeout (cmd 0xec)', 'command-overdue', ata3],
    ['ata3.00: qc timeout after 5000 msecs (cmd 0x27)', 'command-overdue', ata3],
    [
      'ata3.00: cmd 60/08:50:00:10:00/00:00:00:00:00/40 tag 10 ncq dma 4096 in\n         res 50/00:00:00:00:00/00:00:00:00:00/a0 Emask 0x1 (device error)',
      'command-failed',
      ata3,
      blocks(4096),
    ],
    [
      'ata3.00: cmd c8/00:08:00:10:00/00:00:00:00:00/e0 tag 0 dma 4096 in\n         res 41/04:08:00:10:00/00:00:00:00:00/e0 Emask 0x1 (device error)',
      'command-failed',
      ata3,
      blocks(4096),
    ],
    [
      'ata3.00: cmd 60/00:08:00:10:00/04:00:00:00:00/40 tag 1 ncq dma 524288 in\n         res 41/40:00:34:12:00/00:04:00:00:00/40 Emask 0x409 (media error) <F>',
      'medium-error',
      ata3,
      blocks(4660),
    ],
    [
      'ata3.00: cmd c8/00:08:00:10:00/00:00:00:00:00/e1 tag 2 dma 4096 in\n         res 51/40:00:00:00:00/00:00:00:00:00/e0 Emask 0x9 (media error)',
      'medium-error',
      ata3,
      blocks(16_781_312),
    ],
    [
      'ata3.00: cmd 61/08:20:30:20:10/00:00:01:00:00/40 tag 4 ncq dma 4096 out\n         res 40/00:00:00:00:00/00:00:00:00:00/00 Emask 0x4 (timeout)',
      'command-overdue',
      ata3,
      blocks(17_834_032),
    ],
    [
      'ata3.00: cmd b0/d0:01:00:4f:c2/00:00:00:00:00/00 tag 3 pio 512 in\n         res 51/04:01:00:4f:c2/00:00:00:00:00/00 Emask 0x1 (device error)',
      'command-failed',
      ata3,
    ],
    ['ata3.00: error: { ICRC ABRT }', 'transfer-damaged', ata3],
    ['ata3: SError: { 10B8B Dispar BadCRC }', 'transfer-damaged', ata3],
    ['ata3.00: error: { UNC }', 'medium-error', ata3],
    ['ata3.00: disable device', 'drive-gone', ata3],
    ['ata3.00: disabled', 'drive-gone', ata3],
    ['ata3.00: detaching (SCSI 2:0:0:0)', 'drive-gone', ata3],
  ]);
});

/** Words of Linux 6.1 drivers/scsi/scsi_error.c, sd.c, scsi_logging.c, mpt3sas; from memory. */
describe('a SCSI drive, its bridge and its card', () => {
  check([
    ['sd 2:0:0:0: Device offlined - not ready after error recovery', 'drive-gone', first],
    ['sd 2:0:0:0: rejecting I/O to offline device', 'drive-gone', first],
    [
      'sd 2:0:0:0: [sdb] Synchronize Cache(10) failed: Result: hostbyte=DID_NO_CONNECT driverbyte=DRIVER_OK',
      'drive-gone',
      first,
    ],
    [
      'sd 2:0:0:0: attempting task abort!scmd(0x00000000d2b3c1a0), outstanding for 30716 ms & timeout 30000 ms',
      'command-overdue',
      first,
    ],
    [
      'sd 2:0:0:0: [sdb] tag#5 uas_eh_abort_handler 0 uas-tag 1 inflight: CMD OUT ',
      'command-overdue',
      first,
    ],
    [
      'sd 2:0:0:0: [sdb] tag#12 FAILED Result: hostbyte=DID_TIME_OUT driverbyte=DRIVER_OK cmd_age=31s',
      'command-overdue',
      first,
    ],
    ['sd 2:0:0:0: attempting device reset! scmd(0x00000000d2b3c1a0)', 'drive-reset', first],
    ['scsi 2:0:0:0: Power-on or device reset occurred', 'power-on', first],
    ['scsi 2:0:0:0: Direct-Access     QUILLON  Disk 4 A1 PQ: 0 ANSI: 6', 'found', first],
    ['sd 2:0:0:0: [sdb] Attached SCSI disk', 'link-up', first],
    ['sd 2:0:0:0: [sdb] tag#0 Sense Key : Recovered Error [current] ', 'recovered-error', first],
    ['sd 2:0:0:0: [sdb] tag#0 Sense Key : Hardware Error [current] ', 'drive-fault', first],
    [
      'sd 2:0:0:0: [sdb] tag#0 Add. Sense: Failure prediction threshold exceeded',
      'failure-predicted',
      first,
    ],
    [
      'sd 2:0:0:0: [sdb] tag#0 Add. Sense: Hardware impending failure general hard drive failure',
      'failure-predicted',
      first,
    ],
    [
      'sd 2:0:0:0: [sdb] tag#0 Add. Sense: Warning - specified temperature exceeded',
      'drive-too-warm',
      first,
    ],
    [
      'sd 2:0:0:0: [sdb] tag#0 Add. Sense: Information unit iuCRC error detected',
      'transfer-damaged',
      first,
    ],
    ['scsi host6: uas_eh_device_reset_handler start', 'link-reset', ['scsi-host', 'host6']],
    ['scsi host6: uas_eh_device_reset_handler FAILED err -19', 'link-lost', ['scsi-host', 'host6']],
    ['usb 2-1.4: USB disconnect, device number 3', 'drive-gone', ['usb-port', '2-1.4']],
    [
      'usb 2-1: reset SuperSpeed Plus Gen 2x1 USB device number 2 using xhci_hcd',
      'link-reset',
      ['usb-port', '2-1'],
    ],
    ['usb 2-1: device descriptor read/64, error -110', 'link-lost', ['usb-port', '2-1']],
    ['mpt2sas_cm0: sending diag reset !!', 'controller-reset', ['driver', 'mpt3sas']],
    ['mpt3sas_cm1: fault_state(0x5854)!', 'controller-reset', ['driver', 'mpt3sas']],
    [
      'megaraid_sas 0000:03:00.0: resetting fusion adapter scsi0.',
      'controller-reset',
      ['pci', '0000:03:00.0'],
    ],
    ['xhci_hcd 0000:00:14.0: HC died; cleaning up', 'controller-gone', ['pci', '0000:00:14.0']],
  ]);
});

/**
 * Words of Linux 6.1 block/blk-mq.c, fs/buffer.c, lib/ratelimit.c and drivers/nvme/host; the
 * medium error of sector 4096 and the NVMe line of block 4096 were read in the emulated machine,
 * the others are from memory; "I/O tag" is of Linux 6.10.
 */
describe('a place on a drive', () => {
  check([
    [
      'critical medium error, dev sdb, sector 4096 op 0x0:(READ) flags 0x800 phys_seg 1 prio class 2',
      'medium-error',
      sdb,
      sectors(4096),
    ],
    [
      'blk_update_request: I/O error, dev sdb, sector 15628053160 op 0x1:(WRITE) flags 0x0',
      'request-failed',
      sdb,
      sectors(15_628_053_160),
    ],
    [
      'recoverable transport error, dev sdb, sector 8 op 0x0:(READ) flags 0x0',
      'request-failed',
      sdb,
      sectors(8),
    ],
    [
      'timeout error, dev sdb, sector 8 op 0x0:(READ) flags 0x0',
      'command-overdue',
      sdb,
      sectors(8),
    ],
    [
      'Buffer I/O error on dev sdb1, logical block 3, lost async page write',
      'write-lost',
      ['block-name', 'sdb'],
    ],
    ['blk_print_req_error: 37 callbacks suppressed', 'log-gap', ['box', 'box']],
    [
      'nvme1n1: I/O Cmd(0x2) @ LBA 4096, 8 blocks, I/O Error (sct 0x2 / sc 0x81) ',
      'medium-error',
      ['nvme-controller', 'nvme1'],
      blocks(4096),
    ],
    [
      'nvme1c1n1: Write(0x1) @ LBA 70000, 8 blocks, Write Fault (sct 0x2 / sc 0x80) DNR ',
      'medium-error',
      ['nvme-controller', 'nvme1'],
      blocks(70_000),
    ],
    [
      'nvme nvme0: I/O 12 (Read) QID 2 timeout, aborting',
      'command-overdue',
      ['nvme-controller', 'nvme0'],
    ],
    [
      'nvme nvme0: I/O tag 12 (100c) opcode 0x2 (I/O Cmd) QID 2 timeout, aborting req_op:READ(0) size:4096',
      'command-overdue',
      ['nvme-controller', 'nvme0'],
    ],
    [
      'nvme nvme0: I/O 12 QID 2 timeout, reset controller',
      'drive-reset',
      ['nvme-controller', 'nvme0'],
    ],
    [
      'nvme nvme0: controller is down; will reset: CSTS=0xffffffff, PCI_STATUS=0xffff',
      'link-lost',
      ['nvme-controller', 'nvme0'],
    ],
    [
      'nvme nvme0: Device not ready; aborting reset, CSTS=0x1',
      'drive-gone',
      ['nvme-controller', 'nvme0'],
    ],
    [
      'nvme nvme0: Removing after probe failure status: -19',
      'drive-gone',
      ['nvme-controller', 'nvme0'],
    ],
  ]);
});

/** Words of Linux 6.1 drivers/md, fs/ext4, fs/jbd2, fs/xfs and fs/btrfs, from memory. */
describe('an array and a file system', () => {
  check([
    [
      'md/raid1:md0: Disk failure on sdb1, disabling device.\nmd/raid1:md0: Operation continuing on 1 devices.',
      'array-member-failed',
      sdb,
    ],
    [
      'md: kicking non-fresh nvme0n1p2 from array!',
      'array-member-failed',
      ['block-name', 'nvme0n1'],
    ],
    [
      'md/raid:md0: read error corrected (8 sectors at 264192 on sdb)',
      'array-repaired',
      sdb,
      sectors(264_192),
    ],
    ['md/raid1:md0: read error corrected (8 sectors at 2048 on sdb1)', 'array-repaired', sdb],
    [
      'md/raid:md0: read error not correctable (sector 264192 on sdb).',
      'array-read-failed',
      sdb,
      sectors(264_192),
    ],
    [
      'md/raid1:md127: sdb: unrecoverable I/O read error for block 8',
      'array-read-failed',
      ['array', 'md127'],
    ],
    ['md/raid:md0: not enough operational devices (2/4 failed)', 'array-failed', ['array', 'md0']],
    [
      'EXT4-fs error (device md0p1): ext4_lookup:1843: inode #2: comm ls: deleted inode referenced: 12',
      'file-system-error',
      ['array', 'md0'],
    ],
    [
      'EXT4-fs (sdb1): Remounting filesystem read-only',
      'file-system-stopped',
      ['block-name', 'sdb'],
    ],
    ['Aborting journal on device sdb1-8.', 'file-system-stopped', sdb],
    [
      'XFS (dm-0): Metadata corruption detected at xfs_agf_read_verify+0x6d/0x100 [xfs], xfs_agf block 0x1',
      'file-system-error',
      ['block-name', 'dm-0'],
    ],
    [
      'XFS (sdb1): Corruption of in-memory data (0x8) detected at xfs_defer_finish+0x1a (fs/xfs/xfs_inode.c:1).  Shutting down filesystem.',
      'file-system-stopped',
      sdb,
    ],
    [
      'BTRFS warning (device sdb1: state EA): csum failed root 5 ino 257 off 0 csum 0x1 expected csum 0x2 mirror 1',
      'file-system-error',
      sdb,
    ],
    ['BTRFS info (device sdb1: state EA): forced readonly', 'file-system-stopped', sdb],
  ]);
});

/** Words of Linux 6.1 aer.c, pciehp, therm_throt.c, edac_mc.c and suspend.c, from memory. */
describe('the board', () => {
  check([
    [
      'pcieport 0000:00:1c.0: AER: Corrected error received: 0000:03:00.0',
      'pci-error',
      ['pci', '0000:00:1c.0'],
    ],
    [
      'nvme 0000:01:00.0: PCIe Bus Error: severity=Uncorrected (Non-Fatal), type=Transaction Layer, (Requester ID)',
      'pci-error',
      ['pci', '0000:01:00.0'],
    ],
    ['pcieport 0000:00:1c.0: pciehp: Slot(3): Link Down', 'link-lost', ['pci', '0000:00:1c.0']],
    [
      'CPU1: Core temperature is above threshold, cpu clock is throttled (total events = 12)',
      'processor-too-warm',
      ['box', 'box'],
    ],
    [
      'mce: CPU0: Package temperature above threshold, cpu clock throttled (total events = 1)',
      'processor-too-warm',
      ['box', 'box'],
    ],
    [
      'EDAC MC0: 1 CE memory read error on CPU_SrcID#0_Ha#0_Chan#1_DIMM#0 (channel:1 slot:0 page:0x3f offset:0x0 grain:32 syndrome:0x0)',
      'memory-error',
      ['box', 'box'],
    ],
    ['mce: [Hardware Error]: Machine check events logged', 'processor-error', ['box', 'box']],
    ['PM: suspend entry (deep)', 'suspended', ['box', 'box']],
    ['PM: suspend exit', 'awake', ['box', 'box']],
  ]);
});

test.each([
  'ata3.00: error: { ABRT }',
  'ata3',
  'ata3: link is slow to respond, please be patient (ready=0)',
  'sd 2:0:0:0: [sdb] Write Protect is off',
  'critical medium error, dev , sector',
  'I/O error, dev sdb, sector 99999999999999999999 op 0x0:(READ)',
  'nvme0n1: Read(0x2) @ LBA 2048, 1 blocks, Invalid Field in Command (sct 0x0 / sc 0x2) ',
  'md: data-check of RAID array md0',
  'EXT4-fs (sdb1): mounted filesystem with ordered data mode. Quota mode: none.',
  'CPU1: Core temperature/speed normal (total events = 12)',
  '',
])('%j says nothing of a part', (text) => {
  expect(logFact({ sequence: 1, monoMs: 1, level: 6, text })).toBe(null);
});

test.each([
  [
    'ata3: limiting SATA link speed to 1.5 Gbps',
    'The kernel lowered the SATA link to 1.5 Gb/s after errors',
  ],
  [
    'ata3.00: limiting speed to UDMA/33:PIO4',
    'The kernel lowered the speed of transfers to UDMA/33 after errors',
  ],
  [
    'sd 2:0:0:0: [sdb] tag#1 FAILED Result: hostbyte=DID_TIME_OUT driverbyte=DRIVER_OK cmd_age=31s',
    'A command was given up after 31 s without an answer',
  ],
  [
    'pcieport 0000:00:1c.0: AER: Multiple Uncorrected (Fatal) error received: 0000:03:00.0',
    'PCI reported an error: not corrected, and the link is broken',
  ],
  ['mpt2sas_cm0: fault_state(0x265d)!', 'The card’s firmware stopped, fault 265d'],
])('%j is told in words', (text, words) => {
  expect(logFact({ sequence: 1, monoMs: 1, level: 6, text })?.text).toBe(words);
});
