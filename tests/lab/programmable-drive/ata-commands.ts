import { type DriveState, endSelfTest, startSelfTest } from './drive-state.js';
import { identifyPage } from './identify-page.js';
import { logPage, smartDataPage, smartThresholdsPage } from './smart-pages.js';

/** Registers of an ATA command or of its end; `count` and `lba` are whole 48-bit form values. */
export interface AtaRegisters {
  readonly feature: number;
  readonly count: number;
  readonly lba: number;
  readonly device: number;
  readonly command: number;
}

export interface AtaEnd {
  readonly error: number;
  readonly status: number;
  readonly count: number;
  readonly lba: number;
  readonly device: number;
  readonly data: Buffer | null;
}

const smartKey = 0xc2_4f;
const failingKey = 0x2c_f4;

/** What the drive does with one ATA command. Everything it does not know is aborted. */
export function runAta(state: DriveState, command: AtaRegisters): AtaEnd {
  noteWaking(state, command);
  if (command.command === 0xec) return withData(command, identifyPage(state));
  if (command.command === 0xe5) return { ...done(command), count: state.powerMode };
  if (command.command === 0x27) return { ...done(command), lba: state.medium.sectors - 1 };
  if (command.command === 0xe0 || command.command === 0xe2) {
    state.powerMode = 0;
    return done(command);
  }
  if (command.command === 0xe1) {
    state.powerMode = 0x80;
    return done(command);
  }
  if (command.command === 0x2f || command.command === 0x47) return readLogExt(state, command);
  const isSmart = command.command === 0xb0 && Math.floor(command.lba / 256) % 65_536 === smartKey;
  return isSmart ? runSmart(state, command) : aborted(command);
}

function runSmart(state: DriveState, command: AtaRegisters): AtaEnd {
  const lbaLow = command.lba % 256;
  switch (command.feature % 256) {
    case 0xd0:
      return withData(command, smartDataPage(state));
    case 0xd1:
      return withData(command, smartThresholdsPage(state));
    case 0xd5:
      return readLog(state, command, { log: lbaLow, page: 0 });
    case 0xd4:
      return executeOffline(state, command);
    case 0xd8:
      return done(command);
    case 0xda:
      return { ...done(command), lba: (state.failing ? failingKey : smartKey) * 256 + lbaLow };
    default:
      return aborted(command);
  }
}

function executeOffline(state: DriveState, command: AtaRegisters): AtaEnd {
  const subcommand = command.lba % 256;
  if (subcommand === 0x7f) endSelfTest(state, 1);
  else if (subcommand === 1 || subcommand === 2) startSelfTest(state, subcommand);
  else return aborted(command);
  return done(command);
}

function readLogExt(state: DriveState, command: AtaRegisters): AtaEnd {
  const log = command.lba % 256;
  const pageLow = Math.floor(command.lba / 2 ** 8) % 256;
  const pageHigh = Math.floor(command.lba / 2 ** 32) % 256;
  return readLog(state, command, { log, page: pageHigh * 256 + pageLow });
}

function readLog(
  state: DriveState,
  command: AtaRegisters,
  first: { log: number; page: number },
): AtaEnd {
  const pages: Buffer[] = [];
  for (let step = 0; step < Math.max(1, command.count); step += 1) {
    const page = logPage(state, { log: first.log, page: first.page + step });
    if (page === null) return aborted(command);
    pages.push(page);
  }
  return withData(command, Buffer.concat(pages));
}

/** Counts what would have spun a sleeping drive up, so that a test can say that nothing did. */
function noteWaking(state: DriveState, command: AtaRegisters): void {
  const harmless = [0xe5, 0xec, 0xe0, 0xe1, 0xe2];
  if (state.powerMode === 0 && !harmless.includes(command.command)) {
    state.woken += 1;
    state.powerMode = 0xff;
  }
}

function done(command: AtaRegisters): AtaEnd {
  const { count, lba, device } = command;
  return { error: 0, status: 0x50, count, lba, device, data: null };
}

function withData(command: AtaRegisters, data: Buffer): AtaEnd {
  return { ...done(command), data };
}

/** ABRT in the error register, ERR in the status register. */
function aborted(command: AtaRegisters): AtaEnd {
  return { ...done(command), error: 0x04, status: 0x51 };
}
