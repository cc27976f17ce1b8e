import type { DriveSeen, Inventory, PartReadings } from '../../checks/part.js';
import { type Figure, measured, type Reading } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import { textOrNull } from './read-kernel.js';

/**
 * What the kernel thinks of each drive: whether it still sends it requests, and how many commands
 * it gave up waiting for since it found the drive (none where this kernel does not count them; the
 * counter came with Linux 6.2). Its counter of failed commands is left out: that also counts
 * commands which a drive refuses because it does not know them. Nothing here asks the drive.
 */
export async function readKernelStates(
  box: Box,
  { drives }: Pick<Inventory, 'drives'>,
): Promise<readonly PartReadings[]> {
  const parts: PartReadings[] = [];
  for (const drive of drives) {
    const readings = await readingsOf(box, drive);
    if (readings.length > 0) parts.push({ identityKey: drive.identityKey, readings });
  }
  return parts;
}

const stateFigure: Figure = {
  metric: 'kernel-drive-state',
  unit: 'code',
  source: 'Kernel file state of the disk',
};
const timeoutsFigure: Figure = {
  metric: 'kernel-timeouts',
  unit: 'count',
  source: 'Kernel file iotmo_cnt of the disk',
};

async function readingsOf(box: Box, { kernelName }: DriveSeen): Promise<readonly Reading[]> {
  const file = (name: string) => textOrNull(box, `/sys/block/${kernelName}/device/${name}`);
  const state = stateOf((await file('state')) ?? '');
  const timeouts = /^0x([0-9a-f]{1,8})$/.exec((await file('iotmo_cnt')) ?? '')?.[1];
  return [
    ...(state === null ? [] : [measured(stateFigure, state.code, state.text)]),
    ...(timeouts === undefined ? [] : [measured(timeoutsFigure, Number.parseInt(timeouts, 16))]),
  ];
}

interface KernelState {
  /** 0: requests go to it; 1: held back for now; 2: given up. */
  readonly code: 0 | 1 | 2;
  readonly text: string;
}

const ready: KernelState = { code: 0, text: 'the kernel sends it requests' };
const waiting: KernelState = { code: 1, text: 'the kernel holds requests back for now' };
const givenUp: KernelState = { code: 2, text: 'the kernel gave it up and sends it nothing' };

/**
 * Source: Linux 6.1 drivers/scsi/scsi_sysfs.c sdev_states and drivers/nvme/host/core.c,
 * nvme_sysfs_show_state. "created" and "new" are moments of finding it.
 */
const states: Readonly<Record<string, KernelState>> = {
  running: ready,
  live: ready,
  blocked: waiting,
  'created-blocked': waiting,
  quiesce: waiting,
  resetting: waiting,
  connecting: waiting,
  offline: givenUp,
  'transport-offline': givenUp,
  cancel: givenUp,
  deleted: givenUp,
  deleting: givenUp,
  'deleting (no IO)': givenUp,
  dead: givenUp,
};

function stateOf(word: string): KernelState | null {
  return Object.hasOwn(states, word) ? (states[word] ?? null) : null;
}
