import { parseLogRecord } from '../../../src/agent/box/layouts/kernel-log.js';
import { mdReadings } from '../../../src/agent/probes/array-readings.js';
import { loadReading, processorsOf } from '../../../src/agent/probes/box-load.js';
import { parseDiskStat } from '../../../src/agent/probes/disk-counters.js';
import { worldWideNameOf } from '../../../src/agent/probes/identity-rules.js';
import { kernelOf, memoryBytesOf } from '../../../src/agent/probes/machine.js';
import { networkReadings } from '../../../src/agent/probes/network-readings.js';
import {
  copiesOfLayout,
  parseBadSectors,
  parseDeviceErrors,
  parsePoolState,
  parseSyncPosition,
} from '../../../src/agent/probes/parse-arrays.js';
import { parseDevicePath, shortPciAddress } from '../../../src/agent/probes/parse-device-path.js';
import { logFact } from '../../../src/agent/probes/parse-kernel-log.js';
import { parseMounts, parseSwaps } from '../../../src/agent/probes/parse-mounts.js';
import {
  parseLinkSpeed,
  parseLinkWidth,
  parsePciClass,
} from '../../../src/agent/probes/parse-pci.js';
import { parsePciErrors } from '../../../src/agent/probes/parse-pci-errors.js';
import {
  driveSataSpeedMax,
  linkOfPort,
  parseSataSpeed,
} from '../../../src/agent/probes/parse-sata.js';
import {
  parseSataControl,
  parseSataErrors,
  parseSataStatus,
} from '../../../src/agent/probes/parse-sata-registers.js';
import {
  identifyWord,
  identifyWorldWideName,
  vitalIdentify,
  vitalRotation,
  vitalSerial,
  vitalWorldWideName,
} from '../../../src/agent/probes/parse-vital-pages.js';
import { pciErrorReadings } from '../../../src/agent/probes/pci-errors.js';
import { btrfsReadings, zfsReadings } from '../../../src/agent/probes/pool-readings.js';
import { wholeNumber } from '../../../src/agent/probes/read-kernel.js';
import { rateReading } from '../../../src/agent/probes/sas-phys.js';
import { powerReading } from '../../../src/agent/probes/sensor-power.js';
import { channelReadings } from '../../../src/agent/probes/sensor-readings.js';
import type { Reading } from '../../../src/checks/reading.js';
import { between, exact, type Limits, u8, u16, upTo } from '../limits.js';
import type { PagesOf } from '../seeds.js';
import { type FuzzTarget, joinedTarget, textTarget } from '../target.js';
import { readingLimits, strictReadings } from './readings.js';

export function kernelTargets(pages: PagesOf): readonly FuzzTarget[] {
  return [
    ...logTargets(),
    ...arrayTargets(),
    ...linkTargets(),
    ...boxTargets(),
    joinedTarget(vitalReaders, vitalPages, {
      name: 'pages that the kernel keeps',
      errors: [],
      seeds: [
        ...[0x80, 0x83, 0x89, 0xb1].flatMap((page) => pages({ record: 'vpd', page })),
        ...pages({ record: 'identify-device' }),
      ],
      limits: { value: upTo(6_000_000_000) },
    }),
  ];
}

const vitalReaders = [
  vitalSerial,
  vitalWorldWideName,
  vitalIdentify,
  vitalRotation,
  identifyWord,
  identifyWorldWideName,
  driveSataSpeedMax,
];

function vitalPages(page: Uint8Array): unknown {
  return [
    vitalSerial(page),
    vitalWorldWideName(page),
    vitalIdentify(page),
    vitalRotation(page),
    identifyWorldWideName(page),
    driveSataSpeedMax(identifyWord(page, 76)),
  ];
}

/** Lines as Linux 6.1 prints them. */
const logLines = [
  '6,339,5140900,-;ata3: SATA link up 6.0 Gbps (SStatus 133 SControl 300)',
  '3,701,5140900,-;ata3.00: error: { ICRC ABRT }\n SUBSYSTEM=scsi\n DEVICE=+scsi:2:0:0:0',
  '3,702,5140900,-;ata3.00: error: { UNC }',
  '4,703,5140900,-;ata3: limiting SATA link speed to 3.0 Gbps',
  '4,704,5140900,-;ata3.00: disable device',
  '3,705,5140900,-;ata3: COMRESET failed (errno=-16)',
  '6,706,5140900,-;ata3: hard resetting link',
  '4,707,5140900,-;ata3: SATA link down (SStatus 0 SControl 300)',
  '3,708,5140900,-;sd 2:0:0:0: rejecting I/O to offline device',
  '3,709,5140900,-;sd 2:0:0:0: Device offlined - not ready after error recovery',
  '3,710,5140900,-;sd 2:0:0:0: [sda] tag#7 timing out command, waited 180s',
  '3,711,5140900,-;critical medium error, dev sdb, sector 123456 op 0x0:(READ) flags 0x0 phys_seg 1',
  '3,712,5140900,-;I/O error, dev sdb, sector 8 op 0x1:(WRITE) flags 0x0 phys_seg 1 prio class 2',
  '3,713,5140900,-;blk_update_request: critical target error, dev sdc, sector 77',
  '4,714,5140900,-;nvme nvme0: I/O 25 QID 2 timeout, aborting',
  '4,715,5140900,-;nvme nvme0: controller is down; will reset: CSTS=0xffffffff, PCI_STATUS=0xffff',
  '4,716,5140900,-;nvme nvme0: Removing after probe failure status: -19',
  '3,717,5140900,-;nvme0n1: I/O Cmd(0x2) @ LBA 4096, 8 blocks, I/O Error (sct 0x2 / sc 0x81) DNR',
  '6,718,5140900,-;usb 1-4.2: USB disconnect, device number 5',
  '6,719,5140900,-;usb 1-4.2: reset high-speed USB device number 5 using xhci_hcd',
  '3,720,5140900,-;pcieport 0000:00:1c.4: AER: Corrected error received: 0000:03:00.0',
  '3,721,5140900,-;pcieport 0000:00:1c.4: AER: Uncorrected (Fatal) error received: 0000:03:00.0',
  '3,723,5140900,-;ata3: exception Emask 0x10 SAct 0x0 SErr 0x4010000 action 0xe frozen',
  '3,724,5140900,-;ata3.00: cmd 60/08:00:00:10:00/00:00:00:00:00/40 tag 0 ncq dma 4096 in\\x0a         res 41/40:00:34:12:00/00:04:00:00:00/40 Emask 0x409 (media error) <F>',
  '3,725,5140900,-;ata3.00: qc timeout after 5000 msecs (cmd 0x27)',
  '3,726,5140900,-;sd 2:0:0:0: [sda] Sense Key : Medium Error [current]',
  '3,727,5140900,-;md/raid1:md0: Disk failure on sdb1, disabling device.',
  '3,728,5140900,-;EXT4-fs error (device sda1): ext4_find_entry:1455: inode #2: comm ls: reading',
  '6,722,5140900,-;input\\x1b[2J\\x0ausb 1-1: USB disconnect, device number 9',
] as const;

function logTargets(): readonly FuzzTarget[] {
  const limits: Limits = {
    sequence: exact,
    monoMs: { ...exact, fractions: true },
    level: upTo(7),
    number: exact,
  };
  return [
    {
      ...textTarget(logged, { name: 'kernel log', seeds: logLines, limits, share: 2 }),
      drives: [parseLogRecord.name, logFact.name],
    },
  ];
}

function logged(text: string): unknown {
  const record = parseLogRecord(text);
  return record === null ? null : [record, logFact(record)];
}

/** Lines of the input are the files of one thing; one that is missing is a file that is absent. */
function linesOf(text: string): (index: number) => string | null {
  const lines = text.split('\n');
  return (index) => lines[index] ?? null;
}

function arrayTargets(): readonly FuzzTarget[] {
  const readings = { limits: readingLimits };
  const errorStats =
    'write_errs 0\nread_errs 3\nflush_errs 0\ncorruption_errs 1\ngeneration_errs 0';
  return [
    {
      ...textTarget(arrayFiles, {
        ...readings,
        name: 'mdReadings',
        seeds: [
          'raid6\n6\n2\nclean\n1\nrecover\n3907029168 / 7814037168\n102400\n0\ncheck\nin_sync\n0\n1\n8 16',
          'raid10\n4\n258\nactive\n0\nidle\nnone\nnone\n128\nidle\nfaulty,write_mostly\n7\nnone',
          'raid0\n2',
        ],
      }),
      drives: [parseSyncPosition.name, copiesOfLayout.name, parseBadSectors.name],
    },
    {
      ...textTarget(
        (text) =>
          strictReadings(
            btrfsReadings({
              exclusiveOperation: linesOf(text)(6),
              profiles: { data: [linesOf(text)(7) ?? ''], metadata: [linesOf(text)(8) ?? ''] },
              devices: [{ name: '1', errorStats: text, missing: linesOf(text)(5) }],
            }),
          ),
        {
          ...readings,
          name: 'btrfsReadings',
          seeds: [
            `${errorStats}\n0\nnone\nraid1\nsingle`,
            `${errorStats}\n1\ndevice replace\nraid1c3`,
            'invalid',
          ],
        },
      ),
      drives: [parseDeviceErrors.name],
    },
    {
      ...textTarget((text) => strictReadings(zfsReadings(text)), {
        ...readings,
        name: 'zfsReadings',
        seeds: ['ONLINE', 'DEGRADED\n', 'SUSPENDED', ''],
      }),
      drives: [parsePoolState.name],
    },
  ];
}

function arrayFiles(text: string): readonly Reading[] {
  const line = linesOf(text);
  return strictReadings(
    mdReadings({
      level: line(0),
      raidDisks: line(1),
      layout: line(2),
      arrayState: line(3),
      degraded: line(4),
      syncAction: line(5),
      syncCompleted: line(6),
      syncSpeed: line(7),
      mismatches: line(8),
      lastWork: line(9),
      members: [
        {
          name: 'first',
          state: line(10),
          errors: line(11),
          slot: line(12),
          badBlocks: line(13),
        },
      ],
    }),
  );
}

/** Short names: Linux 6.1 drivers/pci/pcie/aer.c. */
const corrected = 'RxErr 4\nBadTLP 0\nBadDLLP 2\nRollover 0\nTimeout 1\nTOTAL_ERR_COR 7';
const fatal = 'Undefined 0\nDLP 0\nSDES 1\nTLP 0\nFCP 0\nCmpltTO 0\nTOTAL_ERR_FATAL 1';

function linkTargets(): readonly FuzzTarget[] {
  const seeds = [
    '6.0 Gbps',
    '1.5 Gbps',
    '<unknown>',
    '8.0 GT/s PCIe',
    '16',
    '0x010601',
    '0x020000',
  ];
  return [
    {
      ...textTarget((text) => [parseSataSpeed(text), parseLinkSpeed(text), parseLinkWidth(text)], {
        name: 'speeds of links',
        seeds,
        limits: { value: { least: 0, most: 6_000_000_000, fractions: true } },
      }),
      drives: [parseSataSpeed.name, parseLinkSpeed.name, parseLinkWidth.name, parsePciClass.name],
    },
    {
      ...textTarget(
        (text) => [parseSataStatus(text), parseSataControl(text), parseSataErrors(text)],
        {
          name: 'registers of SATA ports',
          seeds: ['133', '320', '0x4010000', 'FFFFFFFF'],
          limits: {
            bitsPerSecond: upTo(6_000_000_000),
            limit: upTo(6_000_000_000),
            bits: upTo(31),
          },
        },
      ),
      drives: [parseSataStatus.name, parseSataControl.name, parseSataErrors.name],
    },
    textTarget(parsePciClass, { seeds, limits: {} }),
    {
      ...textTarget(
        (text) => [
          parsePciErrors(text),
          strictReadings(pciErrorReadings(filesOf(text), filesOf(text))),
        ],
        {
          name: 'PCI errors',
          seeds: [corrected, fatal, '', 'TOTAL_ERR_COR 0'],
          limits: { ...readingLimits, total: exact, count: exact },
        },
      ),
      drives: [parsePciErrors.name],
    },
    {
      ...textTarget((text) => strictReadings([rateReading('phy 0', text)]), {
        name: 'SAS rates',
        seeds: ['12.0 Gbit', '6.0 Gbit', 'Unknown', '1.5 Gbit'],
        limits: readingLimits,
      }),
    },
    textTarget(parseDevicePath, {
      seeds: [
        '/sys/devices/pci0000:00/0000:00:1f.2/ata3/host2/target2:0:0/2:0:0:0/block/sda',
        '/sys/devices/pci0000:00/0000:00:14.0/usb1/1-4/1-4.2/1-4.2:1.0/host6/target6:0:0/6:0:0:0',
        '/sys/devices/pci0000:00/0000:00:03.0/host0/port-0:1/end_device-0:1/target0:0:1/0:0:1:0',
        '/sys/devices/pci0000:00/0000:00:05.0/virtio2/block/vda',
        '/sys/devices/virtual/block/loop0',
      ],
      limits: { channel: exact, target: exact, unit: exact },
    }),
    {
      ...textTarget((text) => [linkOfPort(text), shortPciAddress(text), worldWideNameOf(text)], {
        name: 'names of ports',
        seeds: ['ata3', '0000:00:1f.2', 'naa.5000c500a1b2c3d4', 'eui.0025385b71b02a1c'],
        limits: {},
      }),
      drives: [linkOfPort.name, shortPciAddress.name],
    },
  ];
}

function filesOf(text: string) {
  return { corrected: text, notFatal: null, fatal: text };
}

const meminfo = 'MemTotal:       16318480 kB\nMemFree:         1234 kB';

function boxTargets(): readonly FuzzTarget[] {
  const stat = '4 0 8 1 2 0 16 3 0 9 4 0 0 0 0 1 2';
  return [
    textTarget(parseDiskStat, {
      seeds: [stat, '1 2 3 4 5 6 7 8 9 10 11', '1 2 3 4 5 6 7 8 9 10 11 12 13 14 15'],
      limits: Object.fromEntries(
        [
          ...['reads', 'sectorsRead', 'writes', 'sectorsWritten', 'underWay', 'busyMs'],
          ...['flushes', 'discards'],
        ].map((name) => [name, exact]),
      ),
    }),
    textTarget(parseMounts, {
      seeds: [
        '36 35 8:1 / / rw,noatime shared:1 - ext4 /dev/sda1 rw\n40 36 0:42 / /srv\\040x rw - zfs a rw',
      ],
      limits: {},
    }),
    textTarget(parseSwaps, {
      seeds: ['Filename Type Size Used Priority\n/dev/sda2 partition 100 0 -2'],
      limits: {},
    }),
    textTarget(wholeNumber, {
      seeds: ['0', '42', '-17', '9007199254740993'],
      limits: { value: between(-Number.MAX_SAFE_INTEGER, Number.MAX_SAFE_INTEGER) },
    }),
    textTarget((text) => [memoryBytesOf(text), kernelOf(text), processorsOf(text)], {
      name: 'the box itself',
      seeds: [meminfo, 'Linux version 6.1.0-56-amd64 (x) y', '0-3,6', '0'],
      limits: { value: exact },
    }),
    textTarget((text) => strictReadings([loadReading(text, text.split('\n')[1] ?? null)]), {
      name: 'loadReading',
      seeds: ['0.42 0.30 0.11 1/123 4567\n0-3', '12.00 1.0 1.0 9/9 9\n0'],
      limits: readingLimits,
    }),
    textTarget(sensorFiles, {
      name: 'sensors',
      seeds: [
        'temp\ncoretemp\nCore 0\n41000\n80000\n100000',
        'fan\nx\nfan1\n1200',
        'power\nsfp\nTX_power\n501',
      ],
      limits: readingLimits,
    }),
    textTarget(networkFiles, {
      name: 'networkReadings',
      seeds: ['10000\nfull\n1\nup\n0\n0\n4', '-1\nunknown\n0\ndown\n3\n1\n12', '4294967295'],
      limits: { ...readingLimits, number: u16, kind: u8 },
    }),
  ];
}

function sensorFiles(text: string): readonly Reading[] {
  const line = linesOf(text);
  const kind = (['temp', 'fan', 'power'] as const).find((one) => one === line(0)) ?? 'temp';
  const channel = {
    kind,
    number: 1,
    label: line(2),
    input: line(3),
    inputWhy: null,
    fault: false,
    high: line(4),
    critical: line(5),
  };
  const chip = line(1) ?? '';
  if (kind === 'power') return strictReadings([powerReading(channel, chip)]);
  return strictReadings(channelReadings(channel, chip));
}

function networkFiles(text: string): readonly Reading[] {
  const line = linesOf(text);
  return strictReadings(
    networkReadings(
      {
        speed: line(0),
        duplex: line(1),
        carrier: line(2),
        operstate: line(3),
        receiveErrors: line(4),
        checksumErrors: line(5),
        carrierChanges: line(6),
      },
      { virtual: false },
    ),
  );
}
