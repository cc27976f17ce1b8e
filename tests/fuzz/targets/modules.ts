import {
  fillInterfaceRequest,
  fillModuleInfo,
  fillModuleMemory,
  interfaceRequestBytes,
  isInterfaceName,
  readModuleInfo,
} from '../../../src/agent/box/layouts/ethtool.js';
import {
  celsiusLimitOf,
  celsiusOf,
  connectorOf,
  dayOf,
  hasSum,
  limitOf,
  microwattsOf,
  milliamperesOf,
  requireSum,
  signed16,
  voltsOf,
} from '../../../src/agent/box/layouts/module.js';
import { decodeQsfpModule } from '../../../src/agent/box/layouts/module-qsfp.js';
import { decodeSfpModule } from '../../../src/agent/box/layouts/module-sfp.js';
import { calibrationOf } from '../../../src/agent/box/layouts/module-sfp-calibration.js';
import {
  copperCable,
  qsfpModule,
  sfpAllOnes,
  sfpDark,
  sfpModule,
  sfpWorkedOut,
} from '../../agent/box/layouts/module-bytes.js';
import { type Limit, type Limits, u32 } from '../limits.js';
import { mendSum } from '../mutate-bytes.js';
import { type FuzzTarget, joinedTarget } from '../target.js';

function parts(least: number, most: number): Limit {
  return { least, most, fractions: true };
}

/** Sixteen bits of 0.1 µW, 2 µA, 100 µV; limits likewise. */
const microwatts = parts(0, 6553.5);
const figures: Limits = {
  celsius: parts(-60, 125),
  volts: parts(0, 6.5535),
  sentMicrowatts: microwatts,
  receivedMicrowatts: microwatts,
  laserMilliamperes: parts(0, 131.07),
  celsiusHighest: parts(-60, 125),
  sentLowest: microwatts,
  sentHighest: microwatts,
  receivedLowest: microwatts,
  receivedHighest: microwatts,
  wavelengthNanometres: parts(1, 65_535),
};

const steps = [celsiusOf, voltsOf, milliamperesOf, microwattsOf, limitOf, celsiusLimitOf];
const small = [...steps, connectorOf, dayOf, hasSum, requireSum, signed16];

export function moduleTargets(): readonly FuzzTarget[] {
  return [
    joinedTarget([decodeSfpModule, calibrationOf, ...small], decodeSfpModule, {
      name: 'decodeSfpModule',
      seeds: [sfpModule, sfpWorkedOut, sfpAllOnes, sfpDark, copperCable],
      limits: figures,
      mend: (page) => {
        mendSum(page, 0, 63);
        mendSum(page, 64, 95);
        mendSum(page, 256, 351);
      },
      share: 2,
    }),
    joinedTarget([decodeQsfpModule], decodeQsfpModule, {
      name: 'decodeQsfpModule',
      seeds: [
        qsfpModule,
        changed(qsfpModule, 2, [1]),
        changed(qsfpModule, 147, [0xa0]),
        changed(qsfpModule, 22, new Array(36).fill(0xff)),
        changed(qsfpModule, 22, new Array(36).fill(0)),
      ],
      limits: figures,
      mend: (page) => {
        mendSum(page, 128, 191);
        mendSum(page, 192, 223);
      },
    }),
    joinedTarget(questions, question, {
      name: 'questions about a module',
      errors: [RangeError],
      seeds: [new Uint8Array(44)],
      limits: { layout: u32, memoryBytes: u32 },
      share: 0.2,
    }),
  ];
}

function changed(page: Uint8Array, at: number, bytes: readonly number[]): Uint8Array {
  const other = page.slice();
  other.set(bytes, at);
  return other;
}

const questions = [
  fillInterfaceRequest,
  fillModuleInfo,
  fillModuleMemory,
  isInterfaceName,
  readModuleInfo,
];

/** Structures of the kernel are always whole; a name that is no interface's is not asked about. */
function question(input: Uint8Array): unknown {
  const bytes = input.slice();
  const told = readModuleInfo(bytes);
  fillModuleInfo(bytes);
  fillModuleMemory(bytes, 256);
  const name = Buffer.from(input.subarray(0, 20)).toString('latin1').replaceAll('\0', '');
  const isName = isInterfaceName(name);
  if (isName) fillInterfaceRequest(new Uint8Array(interfaceRequestBytes), name, 1n);
  return [told, isName];
}
