import { type Answer, answered } from '../box/box.js';
import {
  logSense,
  modeSense,
  readCapacity16,
  readDefectHeader,
  requestSense,
  testUnitReady,
  vitalProductData,
} from '../box/layouts/commands-scsi.js';
import { saysStopped } from '../box/layouts/sense.js';
import { type AskingRound, askPage, askScsi, type RefusalMemory } from './asking-round.js';

/**
 * Errors of write, read, verify and beside the medium; format, temperature, starts, self-tests,
 * SSD, surface scan, amounts, verdict.
 */
const wantedLogPages = [0x02, 0x03, 0x05, 0x06, 0x08, 0x0d, 0x0e, 0x10, 0x11, 0x15, 0x19, 0x2f];
const wantedVitalPages = [0x80, 0x83, 0xb1];
/** Link counters, and the page in which one maker keeps hours and the highest temperature. */
const rareLogPages = [0x18, 0x37];
/** Error recovery, caches, prediction of failure. */
const rareModePages = [0x01, 0x08, 0x1c];
const pendingDefects = { page: 0x15, subpage: 0x01 } as const;
const allSubpages = 0xff;
const transferBytesMax = 0xfffc;

/** Whether the spindle stands still. Neither question starts it. */
export async function askScsiStandby(round: AskingRound): Promise<boolean> {
  const sense = await askScsi(round, { record: 'request-sense' }, requestSense());
  if (sense !== null && saysStopped(sense)) return true;
  if (round.stoppedBy !== null) return false;
  const ready = await round.box.scsi(round.drive, testUnitReady());
  const told = ready.ok ? undefined : ready.absence.sense;
  if (told === undefined || !saysStopped(told)) return false;
  keepSense(round, told);
  return true;
}

/** The sense that says "stopped" is the record of this round: it takes the place of the other. */
function keepSense(round: AskingRound, sense: Uint8Array): void {
  const record = 'request-sense';
  const at = round.pages.findIndex((page) => page.record === record);
  if (at < 0) round.pages.push({ record, data: sense });
  else round.pages.splice(at, 1, { record, data: sense });
}

/** The records of a SCSI or SAS drive; log pages only where page 00h lists them. */
export async function collectScsiRecords(
  round: AskingRound,
  options: { rare: boolean; refusals: RefusalMemory },
): Promise<void> {
  await collectVitalPages(round);
  const serial = round.pages.find((page) => page.record === 'vpd' && page.page === 0x80)?.data;
  round.refusals = { memory: options.refusals, drive: `scsi ${serial?.join(' ') ?? 'unknown'}` };
  await askScsi(round, { record: 'read-capacity-16' }, readCapacity16());
  const list = await askLogPage(round, { page: 0x00 });
  const listed = list === null ? [] : [...list.subarray(4)];
  const wanted = options.rare ? [...wantedLogPages, ...rareLogPages] : wantedLogPages;
  for (const page of wanted) if (listed.includes(page)) await askLogPage(round, { page });
  if (listed.includes(pendingDefects.page)) await collectPendingDefects(round);
  if (!options.rare) return;
  await askScsi(round, { record: 'defect-list' }, readDefectHeader());
  for (const page of rareModePages) {
    await askScsi(round, { record: 'mode-sense', page }, modeSense(page));
  }
}

/** Subpage FFh of page 00h lists pages and subpages in pairs. */
async function collectPendingDefects(round: AskingRound): Promise<void> {
  const list = await askLogPage(round, { page: 0x00, subpage: allSubpages });
  if (list === null) return;
  for (let at = 4; at + 1 < list.length; at += 2) {
    const { page, subpage } = pendingDefects;
    if (list[at] === page && list[at + 1] === subpage) await askLogPage(round, pendingDefects);
  }
}

export async function collectVitalPages(round: AskingRound): Promise<void> {
  const list = await askVitalPage(round, 0x00);
  const listed = list === null ? [0x80] : [...list.subarray(4)];
  for (const page of wantedVitalPages) if (listed.includes(page)) await askVitalPage(round, page);
}

export function askVitalPage(round: AskingRound, page: number): Promise<Uint8Array | null> {
  return askPage(round, { record: 'vpd', page }, async () => {
    const answer = await round.box.scsi(round.drive, vitalProductData(page));
    return answer.ok ? answered(cutToDeclared(answer.value.data)) : answer;
  });
}

interface LogPlace {
  readonly page: number;
  readonly subpage?: number;
}

/** A log page as long as it says it is: asked again when the first transfer did not hold it. */
export function askLogPage(round: AskingRound, place: LogPlace): Promise<Uint8Array | null> {
  const name = { record: 'log-sense', log: place.page, subpage: place.subpage ?? 0 } as const;
  return askPage(round, name, async () => {
    const first = await sendLogSense(round, place, {});
    if (!first.ok || declaredBytes(first.value) <= first.value.length) {
      return first.ok ? answered(cutToDeclared(first.value)) : first;
    }
    const bytes = Math.min(declaredBytes(first.value), transferBytesMax);
    const second = await sendLogSense(round, place, { bytes });
    return second.ok ? answered(cutToDeclared(second.value)) : second;
  });
}

async function sendLogSense(
  round: AskingRound,
  place: LogPlace,
  options: { bytes?: number },
): Promise<Answer<Uint8Array>> {
  const command = logSense(place.page, { subpage: place.subpage ?? 0, ...options });
  const answer = await round.box.scsi(round.drive, command);
  return answer.ok ? answered(answer.value.data) : answer;
}

/** Bytes 2 and 3 of log pages and vital pages: how many follow the first four. */
function declaredBytes(page: Uint8Array): number {
  return 4 + (page[2] ?? 0) * 256 + (page[3] ?? 0);
}

/** Many adapters do not say how much a drive sent: what lies past the declared end is no answer. */
function cutToDeclared(page: Uint8Array): Uint8Array {
  return page.slice(0, declaredBytes(page));
}
