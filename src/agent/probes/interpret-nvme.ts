import type { Capture, DriveIdentity, HourCounter } from '../../checks/capture.js';
import type { Reading } from '../../checks/reading.js';
import { bit, countOrNull, exactNumber } from '../box/layouts/bytes.js';
import {
  decodeNvmeController,
  decodeNvmeHealth,
  decodeNvmeNamespace,
  decodeNvmeSelfTestLog,
  type NvmeController,
  type NvmeHealth,
  type NvmeNamespace,
  type NvmeSelfTestLog,
} from '../box/layouts/nvme.js';
import { chooseFigure, onlyFigure } from './choose-figure.js';
import { nvmeErrorReadings, nvmeHeatReadings, nvmeRemarks } from './interpret-nvme-errors.js';
import { namespaceReadings } from './interpret-nvme-namespaces.js';
import { nvmeSelfTestReadings } from './interpret-nvme-self-test.js';
import { nvmeSettingReadings } from './interpret-nvme-settings.js';
import { nvmeWorkReadings } from './interpret-nvme-work.js';
import {
  capacityOrNull,
  type Interpretation,
  textOrNull,
  unknownIdentity,
} from './interpretation.js';
import type { PageAnswers } from './page-answers.js';
import { notNull, type Told, thenTold, told, untold } from './told.js';

interface NvmeRecords {
  readonly controller: Told<NvmeController>;
  readonly namespace: Told<NvmeNamespace>;
  readonly health: Told<NvmeHealth>;
  readonly selfTests: Told<NvmeSelfTestLog>;
}

export function interpretNvme(_capture: Capture, pages: PageAnswers): Interpretation {
  const records: NvmeRecords = {
    controller: pages.read({ record: 'identify-controller' }, decodeNvmeController),
    namespace: pages.read({ record: 'identify-namespace', nsid: 1 }, decodeNvmeNamespace),
    health: pages.read({ record: 'nvme-log', log: 0x02 }, decodeNvmeHealth),
    selfTests: pages.read({ record: 'nvme-log', log: 0x06 }, decodeNvmeSelfTestLog),
  };
  return {
    identity: identity(records),
    readings: [
      ...warningReadings(records),
      ...temperatureReadings(records),
      ...wearReadings(records),
      ...counterReadings(records),
      ...nvmeSelfTestReadings(records.selfTests),
      ...nvmeHeatReadings(records.health),
      ...nvmeWorkReadings(records.health),
      ...nvmeSettingReadings(pages, records.controller),
      ...namespaceReadings(pages, records.controller),
      ...nvmeErrorReadings(pages, records.health),
    ],
    hourCounters: hourCounters(records),
    remarks: nvmeRemarks(records.health, records.controller),
  };
}

function identity({ controller, namespace }: NvmeRecords): DriveIdentity {
  const found = controller.told ? controller.value : null;
  const space = namespace.told ? namespace.value : null;
  const bytes =
    space === null ? (found?.totalBytes ?? 0n) : space.blocks * BigInt(space.blockBytes);
  return {
    ...unknownIdentity,
    model: textOrNull(found?.model ?? ''),
    serial: textOrNull(found?.serial ?? ''),
    firmware: textOrNull(found?.firmware ?? ''),
    worldWideName: space?.worldWideName ?? null,
    capacityBytes: capacityOrNull(bytes),
    logicalBlockBytes: space?.blockBytes ?? null,
    ...(found === null ? {} : { rotating: false }),
  };
}

/** Bits of the critical warning; bit 1 is a state of the moment, the others are faults. */
const warnings = [
  'spare is low',
  'temperature outside its limits',
  'reliability degraded',
  'read-only',
  'backup of volatile memory failed',
  'persistent memory region unreliable',
] as const;
const temperatureBit = 1;

function warningReadings({ health }: NvmeRecords): readonly Reading[] {
  const source = 'NVMe health log 02h, critical warning';
  const code = thenTold(health, ({ criticalWarning }) => told(criticalWarning));
  if (!code.told) {
    return [
      onlyFigure('drive-verdict', source, code),
      onlyFigure('critical-warning', source, code),
    ];
  }
  const failing = (code.value & ~(1 << temperatureBit)) !== 0;
  const words = failing ? 'The drive warns of a fault' : 'The drive warns of no fault';
  return [
    onlyFigure('drive-verdict', source, told(failing ? 1 : 0), words),
    onlyFigure('critical-warning', source, code, warningWords(code.value)),
  ];
}

function warningWords(code: number): string {
  const set = Array.from({ length: 8 }, (_, index) => index).filter((index) => bit(code, index));
  if (set.length === 0) return 'none';
  return set.map((index) => warnings[index] ?? `bit ${index}, meaning not known`).join(', ');
}

function temperatureReadings({ health, controller }: NvmeRecords): readonly Reading[] {
  const noSensor = 'The drive gives 0 K, which means no sensor';
  const now = thenTold(health, (log) => notNull(log.temperature, noSensor));
  const noLimit = 'The drive gives no limit (0 K)';
  const limit = (field: 'warningTemperature' | 'criticalTemperature') =>
    thenTold(controller, (found) => notNull(found[field], noLimit));
  const source = 'Identify Controller';
  return [
    onlyFigure('temperature', 'NVMe health log 02h, composite temperature', now),
    ...sensorReadings(health),
    onlyFigure('temperature-limit', `${source}, warning limit`, limit('warningTemperature')),
    chooseFigure({ metric: 'temperature-limit', place: 'critical' }, [
      { source: `${source}, critical limit`, told: limit('criticalTemperature') },
    ]),
  ];
}

/** Only the sensors that are there: a drive without them lacks nothing. */
function sensorReadings(health: Told<NvmeHealth>): readonly Reading[] {
  if (!health.told) return [];
  return health.value.sensors.flatMap((celsius, index) =>
    celsius === null
      ? []
      : chooseFigure({ metric: 'temperature', place: `sensor ${index + 1}` }, [
          { source: `NVMe health log 02h, sensor ${index + 1}`, told: told(celsius) },
        ]),
  );
}

function wearReadings({ health }: NvmeRecords): readonly Reading[] {
  const percent = (field: 'sparePercent' | 'spareLimitPercent') =>
    thenTold(health, (log) =>
      log[field] <= 100
        ? told(log[field])
        : untold<number>(`The drive gives ${log[field]} %, which is no share`),
    );
  const used = thenTold(health, (log) => told(log.usedPercent));
  const full = used.told && used.value === 255 ? '255 % or more' : undefined;
  const log = 'NVMe health log 02h';
  return [
    onlyFigure('endurance-used', `${log}, percentage used`, used, full),
    onlyFigure('spare-left', `${log}, available spare`, percent('sparePercent')),
    onlyFigure('spare-limit', `${log}, spare threshold`, percent('spareLimitPercent')),
  ];
}

/** A unit of data is 1000 times 512 bytes. */
const bytesPerUnit = 512_000n;

type Counter = 'powerOnHours' | 'powerCycles' | 'unsafeShutdowns' | 'mediaErrors';

function counterReadings({ health }: NvmeRecords): readonly Reading[] {
  const count = (field: Counter | 'unitsRead' | 'unitsWritten', each = 1n) =>
    thenTold(health, (log) => amount(log[field], each));
  const log = 'NVMe health log 02h';
  return [
    onlyFigure('power-on-hours', `${log}, power-on hours`, count('powerOnHours')),
    onlyFigure('power-cycles', `${log}, power cycles`, count('powerCycles')),
    onlyFigure('unsafe-shutdowns', `${log}, unsafe shutdowns`, count('unsafeShutdowns')),
    onlyFigure('media-and-data-errors', `${log}, media errors`, count('mediaErrors')),
    onlyFigure('bytes-written', `${log}, units written`, count('unitsWritten', bytesPerUnit)),
    onlyFigure('bytes-read', `${log}, units read`, count('unitsRead', bytesPerUnit)),
  ];
}

function amount(count: bigint, each: bigint): Told<number> {
  const exact = countOrNull(count) === null ? null : exactNumber(count * each);
  return notNull(exact, `The counter ${count} is too large to be told exactly`);
}

function hourCounters({ health, selfTests }: NvmeRecords): readonly HourCounter[] {
  const hours = health.told ? countOrNull(health.value.powerOnHours) : null;
  const own = {
    name: 'Power-on hours',
    hours,
    source: 'NVMe health log 02h, may leave out low-power time',
  };
  const stamps = selfTests.told
    ? selfTests.value.newestFirst.flatMap((test) => test.hours ?? [])
    : [];
  const [newest] = stamps;
  if (newest === undefined) return [own];
  const latest = { name: 'Newest self-test', hours: newest, source: 'NVMe self-test log 06h' };
  const highest = Math.max(...stamps);
  const above = { ...latest, name: 'Highest self-test stamp', hours: highest };
  return highest === newest ? [own, latest] : [own, latest, above];
}
