import { page, putLittle } from './sim-bytes.js';
import { pendingCount } from './sim-drive-state.js';
import type { SimParts } from './sim-drive-time.js';

/** Supported and valid. */
const valid = 0xc0;

type Figures = ReadonlyArray<readonly [offset: number, bytes: number, value: number]>;

function general({ nature, state }: SimParts): Figures {
  return [
    [8, 4, state.powerCycles],
    [16, 4, state.powerOnHours],
    [24, 6, state.bytesWritten / nature.logicalBlockBytes],
    [40, 6, state.bytesRead / nature.logicalBlockBytes],
  ];
}

function rotating({ state }: SimParts): Figures {
  return [
    [8, 4, state.powerOnHours],
    [16, 4, state.powerOnHours],
    [24, 4, state.headLoads],
    [32, 4, state.reallocatedSectors],
    [56, 4, pendingCount(state)],
    [64, 4, state.emergencyHeadParks],
  ];
}

function errors({ state }: SimParts): Figures {
  return [
    [8, 4, state.uncorrectableErrorsReported],
    [16, 4, state.commandsOverdue],
  ];
}

/** Signed bytes: negative degrees are laid down as their two's complement. */
function temperature({ state }: SimParts): Figures {
  const signed = (celsius: number) => (celsius + 256) % 256;
  return [
    [8, 1, signed(state.temperatureCelsius)],
    [32, 1, signed(state.temperatureHighestCelsius)],
    [40, 1, signed(state.temperatureLowestCelsius)],
    [80, 4, 0],
    [88, 1, signed(state.temperatureLimitCelsius)],
    [104, 1, signed(0)],
  ];
}

function transport({ state }: SimParts): Figures {
  return [
    [8, 4, state.powerCycles],
    [24, 4, state.interfaceCrcErrors],
  ];
}

function solidState({ state }: SimParts): Figures {
  return [[8, 1, Math.min(255, state.enduranceUsedPercent)]];
}

/** Log 04h, one page; a page that the drive does not keep reads as zeros. */
export function statisticsPage(parts: SimParts, number: number): Buffer {
  const kept: ReadonlyMap<number, (parts: SimParts) => Figures> = new Map([
    [1, general],
    ...(parts.nature.spins ? ([[3, rotating]] as const) : []),
    [4, errors],
    [5, temperature],
    [6, transport],
    ...(parts.nature.spins ? [] : ([[7, solidState]] as const)),
  ]);
  const bytes = page(512);
  if (number === 0) return listPage(bytes, [0, ...kept.keys()]);
  const figures = kept.get(number);
  if (!figures) return bytes;
  putHeader(bytes, number);
  for (const [at, length, value] of figures(parts)) {
    putLittle(bytes, { at, length }, value);
    bytes[at + 7] = valid;
  }
  return bytes;
}

function listPage(bytes: Buffer, numbers: readonly number[]): Buffer {
  putHeader(bytes, 0);
  bytes[8] = numbers.length;
  bytes.set(numbers, 9);
  return bytes;
}

function putHeader(bytes: Buffer, number: number): void {
  bytes.writeUInt16LE(1, 0);
  bytes[2] = number;
}
