import {
  identifyController,
  identifyNamespace,
  namespaceList,
  nvmeFeatureValue,
  nvmeLog,
} from '../box/layouts/commands-nvme.js';
import { nvmeFeature } from '../box/layouts/nvme-features.js';
import { decodeNamespaceList } from '../box/layouts/nvme-namespaces.js';
import { type AskingRound, askNvme, askNvmeResult, notePage } from './asking-round.js';
import { decoded } from './decoded.js';

const logNumber = { errors: 0x01, health: 0x02, selfTests: 0x06 } as const;
const selfTestLogBytes = 564;
const errorEntryBytes = 64;
const errorLogBytesMax = 4096;
/** Drives have one; cards that are cut up for many guests are not what this is for. */
const namespacesMax = 16;

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
  if (!options.rare) return;
  await log(round, logNumber.errors, errorLogBytes(controller));
  await collectFeatures(round, controller);
  await collectNamespaces(round);
}

/** How the drive is set: the limits past which it warns and slows itself, and its cache. */
async function collectFeatures(round: AskingRound, controller: Uint8Array): Promise<void> {
  const { temperatureThreshold, volatileWriteCache, hostManagedHeat } = nvmeFeature;
  await feature(round, temperatureThreshold, threshold.over);
  await feature(round, temperatureThreshold, threshold.under);
  if (hasBit(controller, 525)) await feature(round, volatileWriteCache);
  if (hasBit(controller, 322)) await feature(round, hostManagedHeat);
}

/** Dword 11 of feature 04h: bits 21:20 tell the side, 19:16 the sensor, of which 0 is the sum. */
const threshold = {
  over: { subpage: 0, choice: 0 },
  under: { subpage: 1, choice: 0x10_0000 },
} as const;

function feature(
  round: AskingRound,
  number: number,
  { subpage, choice }: { subpage: number; choice: number } = threshold.over,
): Promise<Uint8Array | null> {
  const name = { record: 'nvme-feature', page: number, subpage } as const;
  return askNvmeResult(round, name, nvmeFeatureValue(number, choice));
}

/** The first one is asked for in every round. */
async function collectNamespaces(round: AskingRound): Promise<void> {
  const list = await askNvme(round, { record: 'namespace-list' }, namespaceList());
  const numbers = list === null ? null : decoded(() => decodeNamespaceList(list));
  if (!numbers?.ok) return;
  const others = numbers.value.filter((nsid) => nsid !== 1).slice(0, namespacesMax);
  for (const nsid of others) {
    await askNvme(round, { record: 'identify-namespace', nsid }, identifyNamespace(nsid));
  }
}

/** Bytes 322 and 525 of Identify Controller, bit 0: heat management, cache. From memory. */
function hasBit(controller: Uint8Array, offset: number): boolean {
  return ((controller[offset] ?? 0) & 0x01) !== 0;
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
