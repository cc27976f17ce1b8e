import { identifyController, identifyNamespace, nvmeLog } from '../box/layouts/commands-nvme.js';
import { type AskingRound, askNvme, notePage } from './asking-round.js';

const logNumber = { errors: 0x01, health: 0x02, selfTests: 0x06 } as const;
const selfTestLogBytes = 564;
const errorEntryBytes = 64;
const errorLogBytesMax = 4096;

/** The records of an NVMe drive. It has no spindle, so there is nobody to wake. */
export async function collectNvme(round: AskingRound, options: { rare: boolean }): Promise<void> {
  const record = 'identify-controller';
  const controller = await askNvme(round, { record }, identifyController());
  await askNvme(round, { record: 'identify-namespace', nsid: 1 }, identifyNamespace(1));
  await log(round, logNumber.health, 512);
  if (controller === null) return;
  if (hasSelfTest(controller)) {
    await log(round, logNumber.selfTests, selfTestLogBytes);
  } else {
    const reason = 'Not asked: the drive does not do self-tests';
    notePage(round, { record: 'nvme-log', log: logNumber.selfTests }, reason);
  }
  if (options.rare) await log(round, logNumber.errors, errorLogBytes(controller));
}

function log(round: AskingRound, number: number, bytes: number): Promise<Uint8Array | null> {
  return askNvme(round, { record: 'nvme-log', log: number }, nvmeLog(number, bytes));
}

/** Optional admin commands (bytes 256-257), bit 4: self-test. NVM Express, from memory. */
function hasSelfTest(controller: Uint8Array): boolean {
  return ((controller[256] ?? 0) & 0x10) !== 0;
}

/** Byte 262 holds one less than the entries of the error log. */
function errorLogBytes(controller: Uint8Array): number {
  return Math.min(((controller[262] ?? 0) + 1) * errorEntryBytes, errorLogBytesMax);
}
