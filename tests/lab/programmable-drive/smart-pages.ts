import { type DriveState, selfTestTenthsLeft } from './drive-state.js';
import { closeWithChecksum } from './identify-page.js';

interface AttributeRow {
  readonly id: number;
  readonly flags: number;
  readonly raw: (state: DriveState) => number;
}

const attributeRows: readonly AttributeRow[] = [
  { id: 1, flags: 0x000f, raw: () => 0 },
  { id: 4, flags: 0x0032, raw: (state) => state.startStops },
  { id: 5, flags: 0x0033, raw: (state) => state.reallocatedSectors },
  { id: 9, flags: 0x0032, raw: (state) => state.powerOnHours },
  { id: 12, flags: 0x0032, raw: (state) => state.powerCycles },
  { id: 187, flags: 0x0032, raw: (state) => state.uncorrectableErrorsReported },
  { id: 192, flags: 0x0032, raw: (state) => state.headParks },
  { id: 193, flags: 0x0032, raw: (state) => state.headLoads },
  { id: 194, flags: 0x0022, raw: (state) => state.temperatureCelsius },
  { id: 197, flags: 0x0012, raw: (state) => state.medium.pendingSectors },
  { id: 198, flags: 0x0010, raw: (state) => state.medium.pendingSectors },
  { id: 199, flags: 0x003e, raw: (state) => state.interfaceCrcErrors },
];

/**
 * SMART READ DATA: attribute entries of 12 bytes from offset 2, fields of the standard from 362.
 */
export function smartDataPage(state: DriveState): Buffer {
  const page = Buffer.alloc(512);
  page.writeUInt16LE(0x0010, 0);
  attributeRows.forEach((row, index) => {
    const at = 2 + index * 12;
    const normalised = state.normalised.get(row.id) ?? 100;
    page[at] = row.id;
    page.writeUInt16LE(row.flags, at + 1);
    page[at + 3] = normalised;
    page[at + 4] = normalised;
    page.writeUIntLE(row.raw(state), at + 5, 6);
  });
  page[362] = 0x02;
  page[363] = executionStatus(state);
  page.writeUInt16LE(600, 364);
  page[367] = 0x11;
  page.writeUInt16LE(3, 368);
  page[370] = 1;
  page[372] = 2;
  page[373] = 120;
  return closeWithChecksum(page);
}

/** Byte 363: Fh and the tenths that remain while a test runs, else the last result and 0. */
function executionStatus(state: DriveState): number {
  const tenths = selfTestTenthsLeft(state);
  if (tenths !== null) return 0xf0 | tenths;
  return (state.selfTest.finished.at(-1)?.code ?? 0) << 4;
}

export function smartThresholdsPage(state: DriveState): Buffer {
  const page = Buffer.alloc(512);
  page.writeUInt16LE(0x0010, 0);
  attributeRows.forEach((row, index) => {
    page[2 + index * 12] = row.id;
    page[3 + index * 12] = state.thresholds.get(row.id) ?? 0;
  });
  return closeWithChecksum(page);
}

/** Log 06h: 21 descriptors of 24 bytes from offset 2 as a ring, byte 508 = place of the newest. */
function selfTestLog(state: DriveState): Buffer {
  selfTestTenthsLeft(state);
  const page = Buffer.alloc(512);
  page.writeUInt16LE(1, 0);
  const { finished } = state.selfTest;
  finished.forEach((record, index) => {
    const at = 2 + (index % 21) * 24;
    page[at] = record.number;
    page[at + 1] = record.code << 4;
    page.writeUInt16LE(record.hours, at + 2);
    page.writeUInt32LE(record.failingSector, at + 5);
  });
  page[508] = finished.length === 0 ? 0 : ((finished.length - 1) % 21) + 1;
  return closeWithChecksum(page);
}

/** Log 01h with no entry, and the count of errors that the drive saw. */
function errorLog(state: DriveState): Buffer {
  const page = Buffer.alloc(512);
  page[0] = 1;
  page.writeUInt16LE(state.uncorrectableErrorsReported, 452);
  return closeWithChecksum(page);
}

/** Log 00h: word n = pages of log n. */
function directory(): Buffer {
  const page = Buffer.alloc(512);
  for (const [word, pages] of [
    [0, 1],
    [1, 1],
    [4, 8],
    [6, 1],
    [0xe0, 1],
  ] as const) {
    page.writeUInt16LE(pages, word * 2);
  }
  return page;
}

/** Log E0h, SCT status in format 3; 80h in a temperature byte would mean "no figure". */
function sctStatus(state: DriveState): Buffer {
  const page = Buffer.alloc(512);
  page.writeUInt16LE(3, 0);
  page.writeUInt16LE(1, 4);
  page[10] = state.powerMode === 0 ? 1 : 0;
  page.writeInt8(state.temperatureCelsius, 200);
  page.writeInt8(Math.min(25, state.temperatureCelsius), 201);
  page.writeInt8(state.temperatureCelsius, 202);
  page.writeInt8(12, 203);
  page.writeInt8(state.temperatureHighestCelsius, 204);
  return page;
}

/** One page of a log by its address, or null where this drive has none. */
export function logPage(state: DriveState, address: { log: number; page: number }): Buffer | null {
  if (address.log === 0x04) return statisticsPage(state, address.page);
  if (address.page !== 0) return null;
  if (address.log === 0x00) return directory();
  if (address.log === 0x01) return errorLog(state);
  if (address.log === 0x06) return selfTestLog(state);
  if (address.log === 0xe0) return sctStatus(state);
  return null;
}

const supportedAndValid = 0xc0;

/** Log 04h, Device Statistics: one quadword per figure, its top byte the flags. */
function statisticsPage(state: DriveState, number: number): Buffer {
  const page = Buffer.alloc(512);
  if (number === 0) {
    page.writeUInt16LE(1, 0);
    Buffer.from([5, 0, 1, 3, 4, 5]).copy(page, 8);
    return page;
  }
  const figures = statistics(state)[number];
  if (figures === undefined) return page;
  page.writeUInt16LE(1, 0);
  page[2] = number;
  for (const [at, value] of figures) {
    page.writeUIntLE(value, at, 6);
    page[at + 7] = supportedAndValid;
  }
  return page;
}

function statistics(
  state: DriveState,
): Readonly<Record<number, readonly (readonly [offset: number, value: number])[]>> {
  return {
    1: [
      [8, state.powerCycles],
      [16, state.powerOnHours],
      [24, state.sectorsWritten],
      [40, state.sectorsRead],
    ],
    3: [
      [24, state.headLoads],
      [32, state.reallocatedSectors],
    ],
    4: [[8, state.uncorrectableErrorsReported]],
    5: [
      [8, state.temperatureCelsius],
      [32, state.temperatureHighestCelsius],
      [88, state.temperatureLimitCelsius],
    ],
  };
}
