import type { ArraySeen, DriveSeen } from '../../checks/part.js';
import { type Answer, type Box, missing } from '../box/box.js';
import type { Clock } from '../clock.js';
import { parseDiskStat, requestsIn } from './disk-counters.js';
import { textOrNull } from './read-kernel.js';

/**
 * Records of an ATA drive are asked for with commands that cannot stand in its queue (SMART, READ
 * LOG EXT, CHECK POWER MODE, IDENTIFY DEVICE): the kernel lets the queue run empty, sends the one
 * command and starts the queue again (Linux drivers/ata/libata-scsi.c, ata_scmd_need_defer). In the
 * middle of an array's work that holds up every member, and a drive that answers late is thrown out
 * of its array. So a member is asked only in a quiet moment. SCSI and NVMe commands queue like any
 * other and may be sent at any time.
 */
export async function isAskedUnqueued(
  box: Box,
  { reachedBy, kernelName }: Pick<DriveSeen, 'reachedBy' | 'kernelName'>,
): Promise<boolean> {
  if (reachedBy === 'ata' || reachedBy === 'usb') return true;
  if (reachedBy !== 'scsi') return false;
  const vendor = await textOrNull(box, `/sys/block/${kernelName}/device/vendor`);
  return vendor?.trim() === 'ATA';
}

/** A pool whose drives the kernel does not name may lie on any of them. Pure. */
export function mayBeMember(id: string, arrays: readonly ArraySeen[]): boolean {
  return arrays.some(
    ({ family, members }) => members.includes(id) || (family !== 'md' && members.length === 0),
  );
}

/** Our choice: a moment without requests this long is quiet, and this many are waited for. */
const quietMs = 200;
const quietTries = 10;
/** Between two commands of one round it is enough that nothing is under way now. */
const emptyStepMs = 25;
const emptyTries = 20;

export interface QuietQuestion {
  readonly clock: Clock;
  readonly kernelName: string;
}

/** Whether a moment came in which no request was under way and none ended. */
export async function quietMomentComes(box: Box, question: QuietQuestion): Promise<boolean> {
  let before = await look(box, question.kernelName);
  for (let tries = 0; tries < quietTries; tries += 1) {
    await question.clock.sleep(quietMs);
    const after = await look(box, question.kernelName);
    if (before === null || after === null) return true;
    if (before.underWay === 0 && after.underWay === 0 && before.ended === after.ended) return true;
    before = after;
  }
  return false;
}

interface Look {
  readonly underWay: number;
  readonly ended: number;
}

/** Null for a disk that the kernel no longer shows: the question itself will tell that. */
async function look(box: Box, kernelName: string): Promise<Look | null> {
  const counters = parseDiskStat((await textOrNull(box, `/sys/block/${kernelName}/stat`)) ?? '');
  return counters === null ? null : { underWay: counters.underWay, ended: requestsIn(counters) };
}

export interface PoliteBox {
  readonly box: Box;
  /** A command was held back because the drive was at work. */
  readonly heldBack: () => boolean;
}

/** The same box, which sends a command only while nobody else's request is under way. */
export function politeBox(box: Box, question: QuietQuestion): PoliteBox {
  let isHeldBack = false;
  const politely = async <T>(name: string, send: () => Promise<Answer<T>>): Promise<Answer<T>> => {
    if (await isEmpty(box, question)) return send();
    isHeldBack = true;
    return missing('busy', `${name} was held back: the drive works for its array`);
  };
  return {
    heldBack: () => isHeldBack,
    box: {
      kernelText: (path) => box.kernelText(path),
      kernelBytes: (path) => box.kernelBytes(path),
      kernelFolder: (path) => box.kernelFolder(path),
      kernelRealPath: (path) => box.kernelRealPath(path),
      openBlocks: (drive, options) => box.openBlocks(drive, options),
      machine: () => box.machine(),
      ata: (drive, command) => politely(command.name, () => box.ata(drive, command)),
      scsi: (drive, command) => politely(command.name, () => box.scsi(drive, command)),
      nvme: (drive, command) => politely(command.name, () => box.nvme(drive, command)),
    },
  };
}

async function isEmpty(box: Box, { clock, kernelName }: QuietQuestion): Promise<boolean> {
  for (let tries = 0; tries < emptyTries; tries += 1) {
    const now = await look(box, kernelName);
    if (now === null || now.underWay === 0) return true;
    await clock.sleep(emptyStepMs);
  }
  return false;
}
