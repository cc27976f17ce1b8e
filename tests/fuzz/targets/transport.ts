import type { AtaCommand } from '../../../src/agent/box/box.js';
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
  smartSelfTest,
} from '../../../src/agent/box/layouts/commands-ata.js';
import {
  identifyController,
  identifyNamespace,
  namespaceList,
  nvmeFeatureValue,
  nvmeLog,
} from '../../../src/agent/box/layouts/commands-nvme.js';
import {
  inquiry,
  logSense,
  modeSense,
  readCapacity16,
  readDefectHeader,
  requestSense,
  testUnitReady,
  vitalProductData,
} from '../../../src/agent/box/layouts/commands-scsi.js';
import {
  ataLabel,
  inquiryText,
  nvmeLabel,
  scsiLabel,
  scsiSerial,
} from '../../../src/agent/box/layouts/identity-strings.js';
import { fillNvmeHeader, readNvmeResult } from '../../../src/agent/box/layouts/nvme-header.js';
import { nvmeAbsence } from '../../../src/agent/box/layouts/nvme-status.js';
import {
  lbaBytes,
  readRegisters,
  satAnswer,
  satCommand,
} from '../../../src/agent/box/layouts/sat.js';
import { scsiAnswer, transportTrouble } from '../../../src/agent/box/layouts/scsi-outcome.js';
import {
  absenceFromSense,
  isUnitAttention,
  readSense,
  saysStopped,
} from '../../../src/agent/box/layouts/sense.js';
import {
  fillSgHeader,
  readSgOutcome,
  sgHeaderBytes,
} from '../../../src/agent/box/layouts/sg-header.js';
import { type Limits, u8, u16, u32, u48, upTo } from '../limits.js';
import type { PagesOf } from '../seeds.js';
import { type FuzzTarget, joinedTarget } from '../target.js';

const taskFile: Limits = { error: u8, status: u8, device: u8, count: u16, lba: u48 };
const none = { errors: [] } as const;

/** Sense data: fixed and descriptor form, with registers of ATA in three forms (SAT, Linux 6.1). */
const senses: readonly Uint8Array[] = [
  '70 00 03 00 00 00 00 0a 00 00 00 00 11 04 00 00 00 00',
  '70 00 05 00 00 00 00 0a 00 00 00 00 20 00 00 00 00 00',
  '70 00 00 00 00 00 00 0a 00 00 00 00 5e 03 00 00 00 00',
  '72 01 00 1d 00 00 00 0e 09 0c 00 00 00 01 00 00 00 4f 00 c2 a0 50',
  '72 01 00 1d 00 00 00 0e 09 0c 01 00 00 00 00 00 00 00 00 00 40 50',
  '72 0b 00 00 00 00 00 0e 09 0c 00 04 00 00 00 00 00 00 00 00 40 51',
  '72 0b 47 00 00 00 00 0e 09 0c 00 84 00 00 00 00 00 00 00 00 40 51',
  '70 00 01 04 50 a0 01 0a 00 00 4f c2 00 1d 00 00 00 00',
  '70 00 0b 00 00 00 00 0a 04 51 40 01 00 00 00 00 00 10',
  '70 00 02 00 00 00 00 0a 00 00 00 00 04 02 00 00 00 00',
].map(bytesOf);

function bytesOf(text: string): Uint8Array {
  return Uint8Array.from(text.split(' '), (pair) => Number.parseInt(pair, 16));
}

/** A header after the call, then the sense data, then 16 bytes of data. */
function calls(): readonly Uint8Array[] {
  return senses.flatMap((sense) =>
    [0, 2, 8, 24, 40, 64].map((status) => {
      const bytes = new Uint8Array(sgHeaderBytes + 32 + 16);
      bytes[64] = status;
      bytes[67] = sense.length;
      // A driver that says that time is up, which newer kernels do not.
      if (status === 64) bytes[70] = 6;
      bytes.set(sense, sgHeaderBytes);
      return bytes;
    }),
  );
}

export function transportTargets(pages: PagesOf): readonly FuzzTarget[] {
  const ataNames = pages({ record: 'identify-device' });
  const nvmeNames = pages({ record: 'identify-controller' });
  return [
    joinedTarget([readSense, absenceFromSense, isUnitAttention, saysStopped, readRegisters], all, {
      ...none,
      name: 'sense data',
      seeds: senses,
      limits: { ...taskFile, key: upTo(15), code: u8, qualifier: u8 },
    }),
    joinedTarget([readSgOutcome, scsiAnswer, satAnswer, transportTrouble], answersOfCall, {
      errors: [RangeError],
      name: 'answer of a SCSI call',
      seeds: calls(),
      limits: { ...taskFile, hostStatus: u16, driverStatus: u16 },
    }),
    joinedTarget([readNvmeResult, nvmeAbsence, fillNvmeHeader], nvmeCall, {
      errors: [RangeError],
      name: 'answer of an NVMe call',
      seeds: [new Uint8Array(72)],
      limits: { value: u32 },
    }),
    joinedTarget([ataLabel, nvmeLabel, scsiLabel, scsiSerial, inquiryText], labels, {
      ...none,
      name: 'labels',
      seeds: [...ataNames, ...nvmeNames, ...pages({ record: 'vpd', page: 0x80 })],
      limits: {},
    }),
    joinedTarget([...commandMakers, satCommand, lbaBytes, fillSgHeader], commandsOf, {
      ...none,
      name: 'commands that are sent',
      seeds: [new Uint8Array(8)],
      limits: { value: u8, deadlineMs: u32, timeout: u32, ...commandFields },
    }),
  ];
}

function all(sense: Uint8Array): unknown {
  return [
    readSense(sense),
    absenceFromSense('INQUIRY', sense),
    isUnitAttention(sense),
    saysStopped(sense),
    readRegisters(sense),
  ];
}

/** A header that is cut cannot come from the kernel; the buffer is always whole. */
function answersOfCall(input: Uint8Array): unknown {
  const header = input.subarray(0, sgHeaderBytes);
  const sense = input.subarray(sgHeaderBytes, sgHeaderBytes + 32);
  const outcome = readSgOutcome(header, { data: input.subarray(sgHeaderBytes + 32), sense });
  return [
    transportTrouble('INQUIRY', outcome),
    scsiAnswer('INQUIRY', outcome),
    satAnswer(checkPowerMode(), outcome),
  ];
}

function nvmeCall(input: Uint8Array): unknown {
  const header = input.slice();
  const result = readNvmeResult(header);
  fillNvmeHeader(header, nvmeLog(2, 512), 0x1000n);
  return [result, nvmeAbsence('Get Log Page 02h', result & 0x7fff)];
}

function labels(input: Uint8Array): unknown {
  const named = [ataLabel(input), nvmeLabel(input), scsiSerial(input), scsiLabel(input, input)];
  return [...named, inquiryText(input)];
}

const commandFields: Limits = {
  command: u8,
  feature: u16,
  count: u16,
  lba: u48,
  device: u8,
  transferBytes: u32,
  opcode: u8,
  nsid: u32,
  cdw10: u32,
  cdw11: u32,
};

const commandMakers = [
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
  smartSelfTest,
  identifyController,
  identifyNamespace,
  namespaceList,
  nvmeFeatureValue,
  nvmeLog,
  inquiry,
  logSense,
  modeSense,
  readCapacity16,
  readDefectHeader,
  requestSense,
  testUnitReady,
  vitalProductData,
];

/** No input damages a command; every one is made with numbers of the input's choice. */
function commandsOf(input: Uint8Array): unknown {
  const at = (index: number) => input[index] ?? 0;
  const pages = 1 + at(1);
  const ata: readonly AtaCommand[] = [
    accessibleNativeMax(),
    checkPowerMode(),
    identifyDevice(),
    readLogExtended(at(0), { page: at(2), pages }),
    readNativeMax(),
    readNativeMaxExtended(),
    sctRecoveryTimer(at(3) % 2 === 0 ? 'read' : 'write'),
    sctStatus(),
    sctTemperatureTable(),
    smartReadData(),
    smartReadLog(at(0), pages),
    smartReadThresholds(),
    smartReturnStatus(),
    smartSelfTest('short'),
  ];
  const header = new Uint8Array(sgHeaderBytes);
  const sizes = { commandBytes: 16, dataBytes: 512, senseBytes: 32, timeoutMs: 1000 };
  const direction = (['none', 'from-drive', 'to-drive'] as const)[at(3) % 3] ?? 'none';
  fillSgHeader(header, { direction, ...sizes }, { data: 1n, command: 2n, sense: 3n });
  const sent = [
    ...ata.map((command) => [satCommand(command).length, command, lbaBytes(command.lba)]),
    [identifyController(), identifyNamespace(1 + at(4)), nvmeLog(at(0), 512)],
    [namespaceList(), nvmeFeatureValue(at(0)), nvmeFeatureValue(at(0), at(1))],
    [readCapacity16(), readDefectHeader(), requestSense(), testUnitReady(), inquiry()],
    [logSense(at(5) & 0x3f), logSense(at(5) & 0x3f, { subpage: at(6) }), modeSense(at(5) & 0x3f)],
    vitalProductData(at(7)),
  ];
  return sent.map((list) =>
    [list]
      .flat()
      .map((one) => (typeof one === 'object' && !Array.isArray(one) ? fieldsOf(one) : one)),
  );
}

/** The bytes that are sent are as many as they are, whatever the input. */
function fieldsOf(command: object): unknown {
  return Object.fromEntries(
    Object.entries(command).filter(([, value]) => !(value instanceof Uint8Array)),
  );
}
