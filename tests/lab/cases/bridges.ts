import type { LabCase } from '../case.js';
import type { Checks } from '../checks.js';
import type { Machine } from '../machine/machine.js';
import { DriveTarget } from '../programmable-drive/target.js';
import { createRawFile } from '../raw-file.js';
import { GuestAgent } from './guest-agent.js';
import { tolvane } from './lab-drives.js';
import { placesTold, readAt, statusOf } from './lab-events.js';
import { captureAndDecode, readingOf, valuesOf } from './product-answers.js';

interface Scene {
  readonly checks: Checks;
  readonly machine: Machine;
}

/** 64 MiB in blocks of 4096 bytes with protection, ten of which cannot be read. */
const loadKernelDisk = `for module in $(cat /modules/scsi_debug.order); do
  [ $module = scsi_debug ] || insmod /modules/$module.ko
done
insmod /modules/scsi_debug.ko dev_size_mb=64 sector_size=4096 dif=1 dix=1 opts=2 \
  medium_error_start=1000 medium_error_count=10 inq_vendor=QUILLON inq_product=Testbed64 inq_rev=QT01
until grep -q Testbed64 /sys/block/*/device/model; do sleep 1; done`;

/** Drives behind USB bridges, with commands passed on and without; a test disk of the kernel. */
export const bridges: LabCase = {
  name: 'bridges',
  isQuick: false,
  run: async (lab) => {
    const bridged = tolvane(2);
    const target = new DriveTarget();
    target.add(bridged);
    await target.listen();
    try {
      const machine = await lab.boot([
        { kind: 'usb-programmable', drive: bridged, target },
        {
          kind: 'usb-disk',
          serial: 'USBD0001',
          backend: { file: createRawFile(lab.folder, 'usb.img', 64) },
        },
      ]);
      bridged.medium.plant({ kind: 'unreadable', range: { from: 3000, to: 3000 } });
      const scene = { checks: lab.checks, machine };
      await machine.must(['/bin/sh', '-c', loadKernelDisk]);
      const rows = await drivesOf(machine);
      await readHidden(scene);
      await readBridged(scene, rows);
      await readKernelDisk(scene, rows);
      await readTold(scene, rows);
    } finally {
      await target.close();
    }
  },
};

interface DriveRow {
  readonly kind: string;
  readonly serial: string;
  readonly id: string;
  readonly model: string;
  readonly reachedBy: string;
}

/** Path of the only disk whose model begins with a word: a bridge hides its serial number. */
async function pathByModel(machine: Machine, word: string): Promise<string> {
  const find = `grep -l '^${word}' /sys/block/*/device/model`;
  const found = await machine.must(['/bin/sh', '-c', find]);
  const names = [...found.matchAll(/^\/sys\/block\/(\w+)\//gm)].map(([, name]) => name);
  if (names.length !== 1) throw new Error(`Expected one disk ${word}, found "${found}"`);
  return `/dev/${names[0]}`;
}

async function drivesOf(machine: Machine): Promise<readonly DriveRow[]> {
  const printed = await machine.must(['/bin/bayward', 'scan', '--json']);
  const rows = printed
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line) as DriveRow);
  return rows.filter(({ kind }) => kind === 'drive');
}

/** qemu 7.2's own bridge refuses every command that would pass (hw/scsi/scsi-disk.c). */
async function readHidden({ checks, machine }: Scene): Promise<void> {
  const decoded = await captureAndDecode(machine, 'USBD0001');
  const { state, why } = readingOf(decoded, 'temperature');
  checks.equal('a bridge that passes nothing hides the drive', state, 'not-visible');
  checks.holds(
    'and is told as the one that refused',
    why?.startsWith('The USB bridge, not the drive, ') === true,
    why ?? 'no reason',
  );
}

/** The same values as the programmable drive has on SCSI. */
async function readBridged({ checks, machine }: Scene, rows: readonly DriveRow[]): Promise<void> {
  const row = bridgedRow(rows);
  const decoded = await captureAndDecode(machine, row?.id ?? '');
  const { model, serial } = decoded.identity;
  checks.equal(
    'the drive behind a bridge says who it is',
    [model, serial],
    ['Tolvane Archive 4000', 'TVLAB0002'],
  );
  const expected = {
    'power-on-hours': 31_337,
    temperature: 41,
    'reallocated-sectors': 24,
    'power-cycles': 407,
  };
  checks.equal('and is read through it', valuesOf(decoded, Object.keys(expected)), expected);
}

function bridgedRow(rows: readonly DriveRow[]): DriveRow | undefined {
  return rows.find(({ reachedBy, serial }) => reachedBy === 'usb' && serial !== 'USBD0001');
}

/** Linux 6.1 drivers/scsi/scsi_debug.c: 38 degrees, 65 at most, exceptions switched off. */
async function readKernelDisk(
  { checks, machine }: Scene,
  rows: readonly DriveRow[],
): Promise<void> {
  const row = rows.find(({ model }) => model.startsWith('Testbed64'));
  checks.equal('the kernel’s disk is reached by SCSI', row?.reachedBy, 'scsi');
  const decoded = await captureAndDecode(machine, row?.id ?? '');
  const { model, firmware, logicalBlockBytes, capacityBytes } = decoded.identity;
  checks.equal(
    'and says who it is',
    [model, firmware, logicalBlockBytes, capacityBytes],
    ['Testbed64', 'QT01', 4096, 67_108_864],
  );
  checks.equal('and how it is formatted and set', decoded.remarks, [
    'The drive is formatted with protection of type 1',
    'The drive’s prediction of failure is switched off: its verdict tells little',
  ]);
  const expected = { temperature: 38, 'temperature-limit': 65 };
  checks.equal('and how warm', valuesOf(decoded, Object.keys(expected)), expected);
}

/** Places that fail are told in bytes, whatever blocks the drive counts. */
async function readTold({ checks, machine }: Scene, rows: readonly DriveRow[]): Promise<void> {
  const row = bridgedRow(rows);
  const kernelDisk = rows.find(({ model }) => model.startsWith('Testbed64'));
  const failed = [
    await readAt(machine, await pathByModel(machine, 'Testbed64'), 1000 * 4096),
    await readAt(machine, await pathByModel(machine, 'Tolvane'), 3000 * 512),
  ];
  checks.equal('a bad block of each cannot be read', failed, ['ENODATA', 'ENODATA']);
  await GuestAgent.start(machine);
  const status = await statusOf(machine);
  checks.equal(
    'both are told with their places',
    placesTold(status),
    [`${kernelDisk?.id} medium-error 4096000`, `${row?.id} medium-error 1536000`].sort(),
  );
  const parts = status.groups.flatMap((group) => group.parts);
  const said = parts.find(({ id }) => id === row?.id)?.sentences ?? [];
  checks.holds(
    'status tells the label behind the bridge',
    said.includes(
      'Behind the USB bridge of this name answers Tolvane Archive 4000, serial number TVLAB0002.',
    ),
    said.join(' '),
  );
}
