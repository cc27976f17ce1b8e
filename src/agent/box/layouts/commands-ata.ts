import type { AtaCommand } from '../box.js';

/**
 * The ATA commands that Bayward sends, by their registers. ACS, from memory, except where a
 * builder names another source; transfers are in pages of 512 bytes whatever the sector size.
 */

/** Records come from the drive's own memory; longer than this and the drive is not well. */
const recordDeadlineMs = 10_000;
/** The marks that every SMART command carries in the middle and high LBA bytes. */
const smartMarks = 0xc24f00;
const pageBytes = 512;

type Registers = Partial<Pick<AtaCommand, 'feature' | 'count' | 'lba' | 'device' | 'extend'>>;

function readData(name: string, command: number, pages: number, registers: Registers): AtaCommand {
  return {
    name,
    command,
    feature: 0,
    lba: 0,
    device: 0,
    extend: false,
    ...registers,
    count: pages,
    transfer: 'from-drive',
    transferBytes: pages * pageBytes,
    wantRegisters: false,
    deadlineMs: recordDeadlineMs,
  };
}

function ask(name: string, command: number, registers: Registers): AtaCommand {
  return {
    name,
    command,
    feature: 0,
    count: 0,
    lba: 0,
    device: 0,
    extend: false,
    ...registers,
    transfer: 'none',
    transferBytes: 0,
    wantRegisters: true,
    deadlineMs: recordDeadlineMs,
  };
}

export function identifyDevice(): AtaCommand {
  return readData('IDENTIFY DEVICE', 0xec, 1, {});
}

/** Answers in COUNT: 00h or 01h standby, 80h to 83h idle, FFh active or idle. Wakes nothing. */
export function checkPowerMode(): AtaCommand {
  return ask('CHECK POWER MODE', 0xe5, {});
}

export function smartReadData(): AtaCommand {
  return readData('SMART READ DATA', 0xb0, 1, { feature: 0xd0, lba: smartMarks });
}

export function smartReadThresholds(): AtaCommand {
  return readData('SMART READ THRESHOLDS', 0xb0, 1, { feature: 0xd1, lba: smartMarks + 1 });
}

/** Answers in the LBA: C2h 4Fh when no threshold is exceeded, 2Ch F4h when one is. */
export function smartReturnStatus(): AtaCommand {
  return ask('SMART RETURN STATUS', 0xb0, { feature: 0xda, lba: smartMarks });
}

/** A log by the old command, which always starts at the log's first page. */
export function smartReadLog(log: number, pages: number): AtaCommand {
  const registers = { feature: 0xd5, lba: smartMarks + log };
  return readData(`SMART READ LOG ${hexOf(log)}`, 0xb0, pages, registers);
}

/** A log by READ LOG EXT, from page `page` on. */
export function readLogExtended(log: number, place: { page: number; pages: number }): AtaCommand {
  const lba = log + (place.page % 256) * 2 ** 8 + Math.floor(place.page / 256) * 2 ** 32;
  const name = `READ LOG EXT ${hexOf(log)} page ${hexOf(place.page)}`;
  return readData(name, 0x2f, place.pages, { lba, extend: true });
}

/** SCT status by SMART READ LOG, as Linux 6.1 drivers/hwmon/drivetemp.c reads it. */
export function sctStatus(): AtaCommand {
  return smartReadLog(0xe0, 1);
}

const sctTimers = { read: 1, write: 2 } as const;
const sctKeyLog = 0xe0;

/** Asks for an error recovery timer: action 3, function 2 (HGST HC580 p. 96). Sets nothing. */
export function sctRecoveryTimer(timer: keyof typeof sctTimers): AtaCommand {
  const name = `SCT error recovery control (${timer} timer)`;
  return { ...sctKey(name, [3, 2, sctTimers[timer]]), wantRegisters: true };
}

/** Makes log E1h show the temperature table: action 5, function 1, table 2 (HC310 p. 105). */
export function sctTemperatureTable(): AtaCommand {
  return sctKey('SCT temperature table', [5, 1, 2]);
}

/**
 * A question to the drive's firmware, put as a page of words into log E0h. It changes nothing on
 * the medium, and no function that sets anything has a builder here.
 */
function sctKey(name: string, words: readonly number[]): AtaCommand {
  const dataOut = new Uint8Array(pageBytes);
  for (const [index, word] of words.entries()) dataOut[2 * index] = word;
  const registers = { feature: 0xd6, lba: smartMarks + sctKeyLog };
  return { ...readData(name, 0xb0, 1, registers), transfer: 'to-drive', dataOut };
}

/** Numbers of a self-test in the low LBA byte; all run beside normal work. */
export const selfTestNumber = {
  short: 0x01,
  extended: 0x02,
  conveyance: 0x03,
  abort: 0x7f,
} as const;

export type SelfTestRequest = keyof typeof selfTestNumber;

export function smartSelfTest(request: SelfTestRequest): AtaCommand {
  const registers = { feature: 0xd4, lba: smartMarks + selfTestNumber[request] };
  return ask(`SMART EXECUTE OFF-LINE (${request})`, 0xb0, registers);
}

/** The last address that the drive could show, in 48 bits; the form that sets it is never sent. */
export function readNativeMaxExtended(): AtaCommand {
  return ask('READ NATIVE MAX ADDRESS EXT', 0x27, { device: 0x40, extend: true });
}

/** The newer family's question for the same address (word 119 bit 8; ACS-3, from memory). */
export function accessibleNativeMax(): AtaCommand {
  return ask('GET NATIVE MAX ADDRESS EXT', 0x78, { device: 0x40, extend: true });
}

export function readNativeMax(): AtaCommand {
  return ask('READ NATIVE MAX ADDRESS', 0xf8, { device: 0x40 });
}

function hexOf(value: number): string {
  return `${value.toString(16).toUpperCase().padStart(2, '0')}h`;
}
