/**
 * What IDENTIFY DEVICE says about the records that a drive keeps, so that no other is asked for.
 */
export interface AtaAbilities {
  readonly smart: 'on' | 'off' | 'none';
  readonly errorLog: boolean;
  readonly selfTestLog: boolean;
  readonly generalLogs: boolean;
  readonly sctStatus: boolean;
  readonly sctRecovery: boolean;
  readonly sctTables: boolean;
  readonly nativeMax: 'none' | 'short' | 'extended' | 'accessible';
}

/**
 * Models that stop answering when SCT status is read while they write
 * (Linux 6.1 drivers/hwmon/drivetemp.c keeps the same list).
 */
const modelsWithoutSct = ['TOSHIBA DT01ACA'];

/**
 * Reads the ability words of IDENTIFY DEVICE: 82 to 87 (supported, enabled), 119 and 206. Words
 * 83, 84, 87 and 119 count only with 01 in their two top bits. Linux 6.1 include/linux/ata.h; bit
 * 5 of 84 and 87 for the general purpose logs: ACS, from memory.
 */
export function ataAbilities(identify: Uint8Array, model: string): AtaAbilities {
  const word = (index: number) => (identify[2 * index] ?? 0) + 256 * (identify[2 * index + 1] ?? 0);
  const marked = (index: number) => (word(index) >> 14 === 1 ? word(index) : 0);
  const both = (mask: number) => (marked(84) & marked(87) & mask) !== 0;
  const either = (mask: number) => ((marked(84) | marked(87)) & mask) !== 0;
  const smartKnown = (word(82) & 1) !== 0 && word(82) !== 0xffff;
  const hiddenAreaOn = (word(82) & word(85) & 0x0400) !== 0;
  const older = (marked(83) & 0x0400) !== 0 ? 'extended' : 'short';
  const newer = (marked(119) & 0x0100) !== 0 ? 'accessible' : 'none';
  const listed = modelsWithoutSct.some((beginning) => model.startsWith(beginning));
  const sct = word(206) !== 0xffff && (word(206) & 1) !== 0 && !listed;
  return {
    smart: smartKnown ? ((word(85) & 1) !== 0 ? 'on' : 'off') : 'none',
    errorLog: either(0x0001),
    selfTestLog: either(0x0002),
    generalLogs: both(0x0020),
    sctStatus: sct,
    sctRecovery: sct && (word(206) & 0x08) !== 0,
    sctTables: sct && (word(206) & 0x20) !== 0,
    nativeMax: hiddenAreaOn ? older : newer,
  };
}

/** SMART data, byte 367 bit 4: self-tests work. Some drives say so here and not in word 84. */
export function smartDataNamesSelfTest(smartData: Uint8Array): boolean {
  return ((smartData[367] ?? 0) & 0x10) !== 0;
}

/** SMART data, byte 370 bit 0: errors are logged. */
export function smartDataNamesErrorLog(smartData: Uint8Array): boolean {
  return ((smartData[370] ?? 0) & 0x01) !== 0;
}

/** Pages of one log out of the log directory (log 00h): word n holds the count of log n. */
export function pagesInDirectory(directory: Uint8Array, log: number): number {
  return (directory[2 * log] ?? 0) + 256 * (directory[2 * log + 1] ?? 0);
}

/**
 * Page numbers out of page 00h of logs 04h and 30h, without 00h itself and without vendor pages.
 */
export function listedPages(pageZero: Uint8Array): readonly number[] {
  const count = pageZero[8] ?? 0;
  const listed = pageZero.subarray(9, 9 + count);
  return [...new Set(listed)].filter((page) => page > 0 && page < 0x80);
}

/** COUNT after CHECK POWER MODE: 00h and 01h are the standby states, where nothing turns. */
export function isStandbyCount(count: number): boolean {
  return (count & 0xff) <= 0x01;
}
