import { compareWithModel, type ModelRemark } from '../checks/model/compare.js';
import { firstModel } from '../checks/model/first-model.js';
import { nameParts, portIdOf } from '../checks/model/name-parts.js';
import type { BoxModel } from '../checks/model/parse.js';
import type { ArraySeen, ControllerSeen, DriveSeen, Inventory } from '../checks/part.js';
import { formatBytes } from '../checks/units.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';

/** What the command needs from outside, so that it can run on any box. */
export interface ScanParts {
  readonly inventory: () => Promise<Inventory>;
  readonly modelPath: string;
  /** The model that stands at `modelPath`, or null when there is no file. */
  readonly readModel: () => BoxModel | null;
  /** Writes a new file there; must fail when one is there already. */
  readonly writeNew: (text: string) => void;
  /** Today as YYYY-MM-DD, or null when the calendar is not trusted. */
  readonly today: string | null;
  readonly print: (line: string) => void;
  readonly json: boolean;
}

/**
 * Lists what is in the box and why each empty group is empty. Without a model file it writes the
 * first one; with one it only says what differs, and the file is never touched.
 */
export async function scanCommand(parts: ScanParts): Promise<ExitCode> {
  const found = await parts.inventory();
  const model = parts.readModel();
  const inventory = model === null ? found : nameParts(model, found);
  const remarks = model === null ? [] : compareWithModel(model, found);
  if (model === null) parts.writeNew(firstModel(found, { writtenOn: parts.today }));
  const scan = { inventory, remarks, modelPath: parts.modelPath, written: model === null };
  for (const line of parts.json ? jsonLines(scan) : textLines(scan)) parts.print(line);
  return remarks.length > 0 ? exitCodes.belowExpected : exitCodes.done;
}

interface Scan {
  readonly inventory: Inventory;
  readonly remarks: readonly ModelRemark[];
  readonly modelPath: string;
  readonly written: boolean;
}

/** Kernel names and paths change between boots, so programs do not get them either. */
function jsonLines({ inventory, remarks, modelPath, written }: Scan): readonly string[] {
  const {
    drives,
    controllers,
    sensorChips,
    arrays = [],
    memory = [],
    emptyWhy,
    machine,
  } = inventory;
  const rows: readonly object[] = [
    { kind: 'machine', ...machine },
    ...drives.map(
      ({ kernelName: _name, devicePath: _path, deviceNumber: _number, ...rest }) => rest,
    ),
    ...controllers.map(({ interfaceName: _name, ...rest }) => rest),
    ...sensorChips.map(({ kind, id, label }) => ({ kind, id, label })),
    ...[...arrays, ...memory].map(({ folder: _folder, ...rest }) => rest),
    ...(inventory.management === undefined ? [] : [inventory.management]),
    ...Object.entries(emptyWhy).map(([group, why]) => ({ kind: 'empty', group, why })),
    ...remarks.map(({ kind: difference, ...rest }) => ({ kind: 'remark', difference, ...rest })),
    { kind: 'model', path: modelPath, written, differences: remarks.length },
  ];
  return rows.map((row) => JSON.stringify(row));
}

function textLines({ inventory, remarks, modelPath, written }: Scan): readonly string[] {
  const {
    drives,
    controllers,
    sensorChips,
    arrays = [],
    memory = [],
    emptyWhy,
    machine,
  } = inventory;
  return [
    `Box: ${[machine.hostName, machine.board, machine.processor].filter(Boolean).join(', ')}`,
    ...group('Drives', drives.map(driveLine)),
    ...group('Controllers and cards', controllers.map(controllerLine)),
    ...group(
      'Sensor chips',
      sensorChips.map(({ id, label }) => `${id}: ${label}`),
    ),
    ...group('Arrays', arrays.map(arrayLine)),
    ...group(
      'Memory',
      memory.map(({ id, label }) => `${id}: ${label}`),
    ),
    ...group('Management controller', managementLines(inventory)),
    ...group('Not found', Object.values(emptyWhy)),
    '',
    ...modelLines({ remarks, modelPath, written }),
  ];
}

function managementLines({ management }: Inventory): readonly string[] {
  if (management === undefined) return [];
  const { id, label, firmware } = management;
  return [`${id}: ${label}, firmware ${firmware}`];
}

function modelLines({ remarks, modelPath, written }: Omit<Scan, 'inventory'>): readonly string[] {
  if (written) {
    return [
      `A first model of this box was written to ${modelPath}.`,
      'Lines marked FILL IN are what only a person can see: bays, power leads, cables, prices.',
    ];
  }
  if (remarks.length === 0) return [`The box agrees with its model, ${modelPath}.`];
  return [
    `The box differs from its model, ${modelPath} (the file was left as it is):`,
    ...remarks.map(({ text }) => `  ${text}`),
  ];
}

function group(title: string, lines: readonly string[]): readonly string[] {
  return lines.length === 0 ? [] : ['', `${title}:`, ...lines.map((line) => `  ${line}`)];
}

function arrayLine({ id, label, members }: ArraySeen): string {
  const on = members.length === 0 ? '' : `, on drives ${members.join(', ')}`;
  return `${id}: ${label}${on}`;
}

function driveLine(drive: DriveSeen): string {
  const port =
    drive.controller === null || drive.port === null
      ? null
      : `${drive.controller}.${portIdOf(drive.port)}`;
  const facts = [
    `${drive.id}: ${drive.model || 'no model name'}, ${formatBytes(drive.capacityBytes)}`,
    port === null ? null : `port ${port}`,
    drive.duplicateIdentity ? 'another drive has the same identity' : null,
    drive.notVisibleWhy === null ? null : `health not visible: ${drive.notVisibleWhy}`,
  ];
  return facts.filter((fact) => fact !== null).join('; ');
}

function controllerLine({ id, label, link }: ControllerSeen): string {
  const lanes = link?.lanes ?? null;
  const speed = link?.speedGigatransfers ?? null;
  if (lanes === null || speed === null) return `${id}: ${label}`;
  return `${id}: ${label}; ${lanes} ${lanes === 1 ? 'lane' : 'lanes'} at ${speed} GT/s`;
}
