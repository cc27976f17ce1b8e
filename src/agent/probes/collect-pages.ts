import type { Capture, CommandSet } from '../../checks/capture.js';
import type { Box, DriveAddress } from '../box/box.js';
import { inquiry } from '../box/layouts/commands-scsi.js';
import {
  type AskingRound,
  askScsi,
  notePage,
  type RefusalMemory,
  startRound,
} from './asking-round.js';
import { askIdentify, askPowerMode, collectAtaRecords, noteNotAsked } from './collect-ata.js';
import {
  collectGentleAta,
  collectGentleNvme,
  collectGentleScsi,
  type GentleOptions,
} from './collect-gentle.js';
import { collectNvme } from './collect-nvme.js';
import {
  askScsiStandby,
  askVitalPage,
  collectScsiRecords,
  collectVitalPages,
} from './collect-scsi.js';

export interface CollectOptions {
  /** Wall time for the capture, as ISO text. */
  readonly taken: string;
  /** Also the logs that are read once a boot. */
  readonly rare: boolean;
  readonly skipIfAsleep: boolean;
  /** Instead of everything only temperature and, when wanted, the verdict. */
  readonly gentle?: GentleOptions;
  /**
   * Asks nothing more when the way to the drive does not tell whether it sleeps: a drive that
   * nobody used lately may, and would be woken.
   */
  readonly leaveIfUntold?: boolean;
  /** Kept by the caller as long as the process lives; without it nothing is remembered. */
  readonly refusals?: RefusalMemory;
}

export interface Collected {
  readonly capture: Capture;
  readonly asleep: boolean;
  /** False when the way to the drive does not tell whether it sleeps. */
  readonly powerKnown: boolean;
  /** Nothing more was asked, because the drive may sleep. */
  readonly leftAlone: boolean;
  /** A command was not answered within its deadline. */
  readonly timedOut: boolean;
  /** Why the drive was not asked to the end, or null. */
  readonly stoppedBy: string | null;
}

/**
 * Asks one drive for its standard records, in an order that wakes nobody: first whether it
 * sleeps, then who it is, then only what it says that it keeps. What fails stays in the capture
 * as a failed page with the reason; after a command without an answer nothing more is asked.
 */
export async function collectPages(
  box: Box,
  drive: DriveAddress,
  options: CollectOptions,
): Promise<Collected> {
  const round = startRound(box, drive);
  const found = await collectBy(round, options);
  const { taken } = options;
  return {
    capture: { taken, commandSet: found.commandSet, pages: round.pages },
    asleep: found.asleep === true,
    powerKnown: found.asleep !== null,
    leftAlone: mayNotBeAsked(round, found.asleep, options),
    timedOut: round.timedOut,
    stoppedBy: round.stoppedBy,
  };
}

interface Found {
  readonly commandSet: CommandSet;
  readonly asleep: boolean | null;
}

async function collectBy(round: AskingRound, options: CollectOptions): Promise<Found> {
  switch (round.drive.reachedBy) {
    case 'ata':
      return collectAta(round, options);
    case 'nvme':
      if (options.gentle === undefined) await collectNvme(round, options);
      else await collectGentleNvme(round);
      return { commandSet: 'nvme', asleep: false };
    case 'scsi':
      return collectScsi(round, options);
    case 'usb':
      return collectUsb(round, options);
    case 'virtual':
      notePage(round, { record: 'identify-device' }, 'Not asked: a virtual disk keeps no records');
      return { commandSet: 'ata', asleep: null };
  }
}

async function collectAta(round: AskingRound, options: CollectOptions): Promise<Found> {
  const asleep = await askPowerMode(round);
  if (isLeft(round, asleep, options)) return { commandSet: 'ata', asleep };
  const identify = await askIdentify(round);
  if (identify === null) noteNotAsked(round);
  else await collectAtaOf(round, identify, options);
  return { commandSet: 'ata', asleep };
}

function isLeft(round: AskingRound, asleep: boolean | null, options: CollectOptions): boolean {
  return (asleep === true && options.skipIfAsleep) || mayNotBeAsked(round, asleep, options);
}

/** A drive that does not answer at all says so by its next page. */
function mayNotBeAsked(
  { stoppedBy, drive }: AskingRound,
  asleep: boolean | null,
  { leaveIfUntold }: CollectOptions,
): boolean {
  const isAta = drive.reachedBy !== 'virtual';
  return asleep === null && leaveIfUntold === true && stoppedBy === null && isAta;
}

async function collectAtaOf(
  round: AskingRound,
  identify: Uint8Array,
  options: CollectOptions,
): Promise<void> {
  const { gentle } = options;
  if (gentle === undefined) await collectAtaRecords(round, identify, withMemory(options));
  else await collectGentleAta(round, identify, gentle);
}

/** INQUIRY comes first, since it never touches the medium and tells a SATA drive on a SAS card. */
async function collectScsi(round: AskingRound, options: CollectOptions): Promise<Found> {
  const standard = await askScsi(round, { record: 'inquiry' }, inquiry());
  if (standard !== null && vendorOf(standard) === 'ATA') return collectAta(round, options);
  const asleep = await askScsiStandby(round);
  if (asleep && options.skipIfAsleep) return { commandSet: 'scsi', asleep };
  if (options.gentle === undefined) await collectScsiRecords(round, withMemory(options));
  else await collectGentleScsi(round, options.gentle);
  return { commandSet: 'scsi', asleep };
}

/** A bridge may pass ATA commands, pass only IDENTIFY as a page of its own, or pass nothing. */
async function collectUsb(round: AskingRound, options: CollectOptions): Promise<Found> {
  const standard = await askScsi(round, { record: 'inquiry' }, inquiry());
  const { refusals } = withMemory(options);
  round.refusals = { memory: refusals, drive: `bridge ${standard?.join(' ') ?? 'unknown'}` };
  const asleep = await askPowerMode(round);
  if (isLeft(round, asleep, options)) return { commandSet: 'ata', asleep };
  const identify = await askIdentify(round);
  if (identify !== null) {
    await collectAtaOf(round, identify, options);
    return { commandSet: 'ata', asleep };
  }
  blameBridge(round);
  if (await identifyFromBridge(round)) return { commandSet: 'ata', asleep };
  await collectVitalPages(round);
  return { commandSet: 'scsi', asleep };
}

/**
 * Every ATA drive knows IDENTIFY DEVICE, so where it was refused the bridge refused it, and nothing
 * that was asked before reached the drive either. A drive that gave no answer is not excused.
 */
function blameBridge(round: AskingRound): void {
  if (round.stoppedBy !== null) return;
  const own = ['identify-device', 'power-mode'];
  round.pages.forEach((page, index) => {
    if (page.failed === undefined || !own.includes(page.record)) return;
    const reason = page.failed.reason.replace('The drive ', 'The USB bridge, not the drive, ');
    round.pages[index] = { ...page, failed: { reason } };
  });
}

/** Page 89h holds IDENTIFY DEVICE from byte 60 on (Linux 6.1 drivers/hwmon/drivetemp.c). */
async function identifyFromBridge(round: AskingRound): Promise<boolean> {
  const page = await askVitalPage(round, 0x89);
  if (page === null || page.length < 572 || page[56] !== 0xec) return false;
  for (const record of ['smart-data', 'smart-thresholds', 'smart-status'] as const) {
    notePage(round, { record }, 'Not asked: the bridge passes no drive commands');
  }
  return true;
}

function withMemory(options: CollectOptions): { rare: boolean; refusals: RefusalMemory } {
  return { rare: options.rare, refusals: options.refusals ?? new Map() };
}

function vendorOf(standardInquiry: Uint8Array): string {
  return String.fromCharCode(...standardInquiry.subarray(8, 16)).trim();
}
