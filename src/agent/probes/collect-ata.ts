import { answered } from '../box/box.js';
import {
  accessibleNativeMax,
  checkPowerMode,
  identifyDevice,
  readLogExtended,
  readNativeMax,
  readNativeMaxExtended,
  sctRecoveryTimer,
  sctStatus,
  sctTemperatureTable,
  smartReadData,
  smartReadLog,
  smartReadThresholds,
  smartReturnStatus,
} from '../box/layouts/commands-ata.js';
import { ataLabel } from '../box/layouts/identity-strings.js';
import {
  type AskingRound,
  askAta,
  askAtaRegisters,
  askPage,
  notePage,
  type RefusalMemory,
} from './asking-round.js';
import {
  type AtaAbilities,
  ataAbilities,
  isStandbyCount,
  listedPages,
  pagesInDirectory,
  smartDataNamesErrorLog,
  smartDataNamesSelfTest,
} from './ata-abilities.js';

const pageBytes = 512;
const logNumber = {
  directory: 0x00,
  errors: 0x01,
  errorsExtended: 0x03,
  statistics: 0x04,
  selfTests: 0x06,
  selfTestsExtended: 0x07,
  queueError: 0x10,
  linkCounters: 0x11,
  identify: 0x30,
  sct: 0xe0,
  sctTable: 0xe1,
} as const;
/** Histories are a page or two; more than this is not worth a drive's time. */
const historyPagesMax = 4;
const statisticsPagesMax = 16;

/** Whether the drive sleeps; null when the way to it does not tell. */
export async function askPowerMode(round: AskingRound): Promise<boolean | null> {
  const page = await askAtaRegisters(round, { record: 'power-mode' }, checkPowerMode());
  return page === null ? null : isStandbyCount(page[4] ?? 0xff);
}

export function askIdentify(round: AskingRound): Promise<Uint8Array | null> {
  return askAta(round, { record: 'identify-device' }, identifyDevice());
}

/** What would have been asked of a drive that did not say what it is, each with the reason. */
export function noteNotAsked(round: AskingRound): void {
  const reason = `Not asked: ${round.stoppedBy ?? 'the drive did not say what it is'}`;
  for (const record of smartRecords) notePage(round, { record }, reason);
  for (const log of [logNumber.statistics, logNumber.selfTests, logNumber.sct]) {
    notePage(round, { record: 'log', log, page: 0 }, reason);
  }
}

/** Everything after IDENTIFY DEVICE, asked only where the drive says that it keeps it. */
export async function collectAtaRecords(
  round: AskingRound,
  identify: Uint8Array,
  options: { rare: boolean; refusals: RefusalMemory },
): Promise<void> {
  const label = ataLabel(identify);
  round.refusals = {
    memory: options.refusals,
    drive: `${label?.model ?? ''} ${label?.serial ?? ''}`,
  };
  const abilities = ataAbilities(identify, label?.model ?? '');
  const smartData = await collectSmart(round, abilities);
  const smartLogs = abilities.smart === 'on';
  const selfTests = smartData !== null && smartDataNamesSelfTest(smartData);
  if (smartLogs && (abilities.selfTestLog || selfTests)) await smartLog(round, logNumber.selfTests);
  const { directory, ways } = await collectDirectory(round, abilities);
  await collectStatistics(round, ways, directory);
  if (ways.generalLogs) await collectHistory(round, logNumber.selfTestsExtended, directory);
  if (ways.sctStatus) await collectSct(round, ways);
  if (!options.rare) return;
  const errors = smartData !== null && smartDataNamesErrorLog(smartData);
  if (smartLogs && (ways.errorLog || errors)) await smartLog(round, logNumber.errors);
  await collectRare(round, ways, directory);
}

const smartRecords = ['smart-data', 'smart-thresholds', 'smart-status'] as const;

async function collectSmart(
  round: AskingRound,
  abilities: AtaAbilities,
): Promise<Uint8Array | null> {
  if (abilities.smart !== 'on') {
    const why = abilities.smart === 'off' ? 'has SMART switched off' : 'does not do SMART';
    for (const record of smartRecords) notePage(round, { record }, `Not asked: the drive ${why}`);
    return null;
  }
  const data = await askAta(round, { record: 'smart-data' }, smartReadData());
  await askAta(round, { record: 'smart-thresholds' }, smartReadThresholds());
  await askAtaRegisters(round, { record: 'smart-status' }, smartReturnStatus());
  return data;
}

function smartLog(round: AskingRound, log: number): Promise<Uint8Array | null> {
  return askAta(round, { record: 'log', log, page: 0 }, smartReadLog(log, 1));
}

function extendedLog(round: AskingRound, log: number, page: number): Promise<Uint8Array | null> {
  return askAta(round, { record: 'log', log, page }, readLogExtended(log, { page, pages: 1 }));
}

interface Directory {
  readonly directory: Uint8Array | null;
  /** Without READ LOG EXT when something on the way let only the old command through. */
  readonly ways: AtaAbilities;
}

async function collectDirectory(round: AskingRound, abilities: AtaAbilities): Promise<Directory> {
  const { smart, errorLog, selfTestLog, generalLogs } = abilities;
  const hasOld = smart === 'on' && (errorLog || selfTestLog);
  if (!generalLogs) {
    const directory = hasOld ? await smartLog(round, logNumber.directory) : null;
    return { directory, ways: abilities };
  }
  const found = await extendedLog(round, logNumber.directory, 0);
  if (found !== null || !hasOld) return { directory: found, ways: abilities };
  const older = await directoryByOldCommand(round);
  const ways = older === null ? abilities : { ...abilities, generalLogs: false };
  return { directory: older, ways };
}

/** The answer takes the failed page's place; a refusal is remembered under a name of its own. */
async function directoryByOldCommand(round: AskingRound): Promise<Uint8Array | null> {
  const scratch: AskingRound = { ...round, pages: [] };
  const log = logNumber.directory;
  const own = { record: 'log', log, page: 0, subpage: 1 } as const;
  const data = await askAta(scratch, own, smartReadLog(log, 1));
  round.stoppedBy = scratch.stoppedBy;
  round.timedOut = scratch.timedOut;
  if (data === null) return null;
  const at = round.pages.findIndex((page) => page.record === 'log' && page.log === log);
  round.pages.splice(at, 1, { record: 'log', log, page: 0, data });
  return data;
}

async function collectStatistics(
  round: AskingRound,
  abilities: AtaAbilities,
  directory: Uint8Array | null,
): Promise<void> {
  const log = logNumber.statistics;
  const pages = directory === null ? 0 : pagesInDirectory(directory, log);
  if (pages === 0) {
    const reason = 'Not asked: the drive does not list Device Statistics';
    notePage(round, { record: 'log', log, page: 0 }, round.stoppedBy ?? reason);
  } else if (abilities.generalLogs) {
    await collectListed(round, log);
  } else {
    await collectStatisticsAtOnce(round, Math.min(pages, statisticsPagesMax));
  }
}

/** Page 00h of a log names the pages that there are. */
async function collectListed(round: AskingRound, log: number): Promise<void> {
  const list = await extendedLog(round, log, 0);
  if (list === null) return;
  for (const page of listedPages(list)) await extendedLog(round, log, page);
}

/** Without READ LOG EXT a log is read from its first page on, all pages in one transfer. */
async function collectStatisticsAtOnce(round: AskingRound, pages: number): Promise<void> {
  const log = logNumber.statistics;
  const scratch: AskingRound = { ...round, pages: [] };
  const all = await askAta(scratch, { record: 'log', log, page: 0 }, smartReadLog(log, pages));
  round.stoppedBy = scratch.stoppedBy;
  if (all === null) {
    round.pages.push(...scratch.pages);
    return;
  }
  for (let page = 0; page * pageBytes < all.length; page += 1) {
    const data = all.slice(page * pageBytes, (page + 1) * pageBytes);
    await askPage(round, { record: 'log', log, page }, async () => answered(data));
  }
}

/** All pages of a log that keeps a history, as many as the directory counts. */
async function collectHistory(
  round: AskingRound,
  log: number,
  directory: Uint8Array | null,
): Promise<void> {
  const pages = directory === null ? 0 : pagesInDirectory(directory, log);
  for (let page = 0; page < Math.min(pages, historyPagesMax); page += 1) {
    await extendedLog(round, log, page);
  }
}

async function collectSct(round: AskingRound, abilities: AtaAbilities): Promise<void> {
  if (abilities.smart === 'on') {
    await askAta(round, { record: 'log', log: logNumber.sct, page: 0 }, sctStatus());
  } else if (abilities.generalLogs) {
    await extendedLog(round, logNumber.sct, 0);
  }
}

async function collectRare(
  round: AskingRound,
  abilities: AtaAbilities,
  directory: Uint8Array | null,
): Promise<void> {
  if (abilities.generalLogs && directory !== null) {
    await collectHistory(round, logNumber.errorsExtended, directory);
    for (const log of [logNumber.queueError, logNumber.linkCounters]) {
      if (pagesInDirectory(directory, log) > 0) await extendedLog(round, log, 0);
    }
    if (pagesInDirectory(directory, logNumber.identify) > 0) {
      await collectListed(round, logNumber.identify);
    }
  }
  if (abilities.smart === 'on') await collectSctAnswers(round, abilities);
  if (abilities.nativeMax === 'none') return;
  const command = nativeMaxCommands[abilities.nativeMax]();
  await askAtaRegisters(round, { record: 'native-max' }, command);
}

const nativeMaxCommands = {
  short: readNativeMax,
  extended: readNativeMaxExtended,
  accessible: accessibleNativeMax,
} as const;

/**
 * What the firmware answers only to a question put into its key page. USB bridges are never sent
 * such a page: they are built for reads and writes, and some stand still at anything else.
 */
async function collectSctAnswers(round: AskingRound, abilities: AtaAbilities): Promise<void> {
  if (round.drive.reachedBy === 'usb') return;
  if (abilities.sctRecovery) {
    const record = 'sct-error-recovery';
    await askAtaRegisters(round, { record, page: 1 }, sctRecoveryTimer('read'));
    await askAtaRegisters(round, { record, page: 2 }, sctRecoveryTimer('write'));
  }
  if (!abilities.sctTables) return;
  const name = { record: 'log', log: logNumber.sctTable, page: 0 } as const;
  await askPage(round, name, async () => {
    const question = await round.box.ata(round.drive, sctTemperatureTable());
    if (!question.ok) return question;
    const answer = await round.box.ata(round.drive, smartReadLog(logNumber.sctTable, 1));
    return answer.ok ? answered(answer.value.data) : answer;
  });
}
