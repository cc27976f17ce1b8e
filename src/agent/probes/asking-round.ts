import type { RawPage } from '../../checks/capture.js';
import {
  type Absence,
  type Answer,
  type AtaCommand,
  answered,
  type Box,
  type DriveAddress,
  missing,
  type NvmeAdminCommand,
  type ScsiCommand,
} from '../box/box.js';
import { taskFilePage } from './task-file-page.js';

export type PageName = Omit<RawPage, 'data' | 'failed'>;

/**
 * What drives have refused since this process started, by drive and record. A refused command
 * costs a drive its queue and the kernel's log a line, so it is not sent again.
 */
export type RefusalMemory = Map<string, string>;

/** One round of asking one drive: pages in the order asked, and the reason once it must stop. */
export interface AskingRound {
  readonly pages: RawPage[];
  readonly box: Box;
  readonly drive: DriveAddress;
  stoppedBy: string | null;
  /** A command was not answered within its deadline. */
  timedOut: boolean;
  /** Set once the drive has said who it is. */
  refusals: { readonly memory: RefusalMemory; readonly drive: string } | null;
}

export function startRound(box: Box, drive: DriveAddress): AskingRound {
  return { pages: [], box, drive, stoppedBy: null, timedOut: false, refusals: null };
}

/** After one of these the drive is left alone for this round. */
const stopping: ReadonlySet<Absence['kind']> = new Set([
  'timed-out',
  'busy',
  'gone',
  'not-permitted',
]);

/** Asks for one record, keeps the page or the reason, and gives the bytes back, or null. */
export async function askPage(
  round: AskingRound,
  name: PageName,
  send: () => Promise<Answer<Uint8Array>>,
): Promise<Uint8Array | null> {
  const reason = round.stoppedBy ?? rememberedRefusal(round, name);
  if (reason !== null) {
    notePage(round, name, `Not asked: ${reason}`);
    return null;
  }
  const answer = await send();
  if (answer.ok) {
    round.pages.push({ ...name, data: answer.value });
    return answer.value;
  }
  noteAbsence(round, name, answer.absence);
  return null;
}

/** A page that was not asked for or not got, with the reason. */
export function notePage(round: AskingRound, name: PageName, reason: string): void {
  round.pages.push({ ...name, data: new Uint8Array(0), failed: { reason } });
}

function noteAbsence(round: AskingRound, name: PageName, absence: Absence): void {
  if (stopping.has(absence.kind)) round.stoppedBy = absence.text;
  if (absence.kind === 'timed-out') round.timedOut = true;
  const refused = absence.kind === 'refused' || absence.kind === 'not-supported';
  if (refused && round.refusals) {
    round.refusals.memory.set(refusalKey(round.refusals.drive, name), absence.text);
  }
  notePage(round, name, absence.text);
}

function rememberedRefusal(round: AskingRound, name: PageName): string | null {
  if (!round.refusals) return null;
  return round.refusals.memory.get(refusalKey(round.refusals.drive, name)) ?? null;
}

function refusalKey(drive: string, name: PageName): string {
  return `${drive} ${JSON.stringify(name)}`;
}

/** A record that an ATA command hands over as data. */
export function askAta(
  round: AskingRound,
  name: PageName,
  command: AtaCommand,
): Promise<Uint8Array | null> {
  return askPage(round, name, async () => {
    const answer = await round.box.ata(round.drive, command);
    return answer.ok ? answered(answer.value.data) : answer;
  });
}

/** An answer that stands in the registers; lost registers are a failed page, never a good one. */
export function askAtaRegisters(
  round: AskingRound,
  name: PageName,
  command: AtaCommand,
): Promise<Uint8Array | null> {
  return askPage(round, name, async () => {
    const answer = await round.box.ata(round.drive, command);
    if (!answer.ok) return answer;
    if (answer.value.registers !== null) return answered(taskFilePage(answer.value.registers));
    const text = `A bridge or controller on the way lost the answer to ${command.name}`;
    return missing<Uint8Array>('aborted', text);
  });
}

export function askScsi(
  round: AskingRound,
  name: PageName,
  command: ScsiCommand,
): Promise<Uint8Array | null> {
  return askPage(round, name, async () => {
    const answer = await round.box.scsi(round.drive, command);
    return answer.ok ? answered(answer.value.data) : answer;
  });
}

export function askNvme(
  round: AskingRound,
  name: PageName,
  command: NvmeAdminCommand,
): Promise<Uint8Array | null> {
  return askPage(round, name, async () => {
    const answer = await round.box.nvme(round.drive, command);
    return answer.ok ? answered(answer.value.data) : answer;
  });
}

/** An answer that stands in completion dword 0, kept as its 4 bytes, lowest first. */
export function askNvmeResult(
  round: AskingRound,
  name: PageName,
  command: NvmeAdminCommand,
): Promise<Uint8Array | null> {
  return askPage(round, name, async () => {
    const answer = await round.box.nvme(round.drive, command);
    if (!answer.ok) return answer;
    const { result } = answer.value;
    const bytes = [0, 8, 16, 24].map((shift) => (result >>> shift) & 0xff);
    return answered(Uint8Array.from(bytes));
  });
}
