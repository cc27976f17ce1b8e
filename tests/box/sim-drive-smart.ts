import { page, putLittle, withChecksum } from './sim-bytes.js';
import { pendingCount } from './sim-drive-state.js';
import type { SimParts } from './sim-drive-time.js';

interface Attribute {
  readonly id: number;
  readonly flags: number;
  readonly current: number;
  readonly threshold: number;
  readonly raw: number;
}

const flags = { preFail: 0x0033, oldAge: 0x0032 } as const;

/** The entries that several makers publish; current values fall with the count behind them. */
function attributes({ nature, state }: SimParts): readonly Attribute[] {
  const old = (id: number, raw: number): Attribute => {
    return { id, flags: flags.oldAge, current: 100, threshold: 0, raw };
  };
  const temperature =
    state.temperatureCelsius +
    state.temperatureLowestCelsius * 2 ** 16 +
    state.temperatureHighestCelsius * 2 ** 32;
  const worn = Math.max(1, 100 - Math.ceil(state.reallocatedSectors / 20));
  const reallocated: Attribute = {
    id: 5,
    flags: flags.preFail,
    current: state.failing ? 9 : Math.max(11, worn),
    threshold: 10,
    raw: state.reallocatedSectors,
  };
  const always = [
    reallocated,
    old(9, Math.floor((state.powerOnHours * 3600) / state.hourCounterSeconds)),
    old(12, state.powerCycles),
    old(187, state.uncorrectableErrorsReported),
    old(188, state.commandsOverdue),
    { ...old(194, temperature), current: Math.max(1, 100 - state.temperatureCelsius) },
    old(197, pendingCount(state)),
    old(198, state.uncorrectableSectors),
    old(199, state.interfaceCrcErrors),
  ];
  if (!nature.spins) return always;
  const spindle = [
    old(4, state.startStops),
    { ...old(7, state.seekErrors), flags: flags.preFail, threshold: 30 },
    old(192, state.emergencyHeadParks),
    old(193, state.headLoads),
  ];
  return [...always, ...spindle].sort((left, right) => left.id - right.id);
}

/** SMART READ DATA: 30 places of 12 bytes from byte 2, then what the standard fixes. */
export function smartData(parts: SimParts): Buffer {
  const { state, time } = parts;
  const bytes = page(512);
  bytes.writeUInt16LE(0x0010, 0);
  attributes(parts).forEach((attribute, index) => {
    const at = 2 + 12 * index;
    bytes[at] = attribute.id;
    bytes.writeUInt16LE(attribute.flags, at + 1);
    bytes[at + 3] = attribute.current;
    bytes[at + 4] = attribute.current;
    putLittle(bytes, { at: at + 5, length: 6 }, attribute.raw);
  });
  const last = state.selfTests.at(-1);
  const tenths = Math.min(9, Math.ceil(time.selfTestLeftPercent() / 10));
  bytes[362] = 0x82;
  bytes[363] = state.selfTestRunning ? 0xf0 | tenths : (last?.result ?? 0) << 4;
  bytes.writeUInt16LE(600, 364);
  bytes[367] = state.keeps.selfTests ? 0x5b : 0x4b;
  bytes.writeUInt16LE(0x0003, 368);
  bytes[370] = 1;
  bytes[372] = state.selfTestShortMinutes;
  bytes[373] = state.selfTestExtendedMinutes > 254 ? 0xff : state.selfTestExtendedMinutes;
  bytes.writeUInt16LE(state.selfTestExtendedMinutes, 375);
  return withChecksum(bytes);
}

export function smartThresholds(parts: SimParts): Buffer {
  const bytes = page(512);
  bytes.writeUInt16LE(0x0010, 0);
  attributes(parts).forEach((attribute, index) => {
    bytes[2 + 12 * index] = attribute.id;
    bytes[3 + 12 * index] = attribute.threshold;
  });
  return withChecksum(bytes);
}
