import type { ControllerSeen, DriveSeen, Inventory } from '../part.js';
import { formatBytes } from '../units.js';
import { hostOf, type ModelHost, nameParts, portIdOf } from './name-parts.js';
import type { BoxModel } from './parse.js';
import type { ModelDrive } from './schema.js';

/** One difference between the box and its model. */
export interface ModelRemark {
  readonly kind: 'missing' | 'new' | 'moved' | 'different';
  /** Id of the part: a drive's serial, or the id of a controller or card. */
  readonly subject: string;
  /** What the model says and what was found, in words; null where there is nothing. */
  readonly expected: string | null;
  readonly found: string | null;
  readonly text: string;
}

/** "8 TB" on a label is 8.002 TB of sectors; nothing sold differs more than this from its label. */
const capacityTolerance = 0.015;

/**
 * What is missing, new, moved or different in the box against the model. A place or a kind that
 * either side does not tell is not compared. Drives first, then controllers and cards.
 */
export function compareWithModel(model: BoxModel, inventory: Inventory): readonly ModelRemark[] {
  const seen = nameParts(model, inventory);
  return [
    ...model.drives.flatMap((drive) => driveRemarks(drive, seen.drives)),
    ...seen.drives.flatMap((drive) => newDrive(drive, model.drives)),
    ...hostsOf(model).flatMap((host) => hostRemarks(host, model, inventory.controllers)),
    ...seen.controllers.flatMap((controller) => newController(controller, model)),
  ];
}

function hostsOf(model: BoxModel): readonly ModelHost[] {
  return [...model.controllers, ...model.cards];
}

function driveRemarks(drive: ModelDrive, seen: readonly DriveSeen[]): readonly ModelRemark[] {
  const found = seen.find((one) => one.id === drive.serial);
  const name = `Drive ${drive.serial}`;
  if (found === undefined) {
    const bay = drive.bay === undefined ? '' : `, bay ${drive.bay}`;
    const what = `${formatBytes(drive.capacity)}${bay}`;
    return [
      remark('missing', drive.serial, {
        expected: what,
        text: `${name} (${what}) is in the model but was not found in the box`,
      }),
    ];
  }
  return [
    ...portRemark(drive, found),
    ...capacityRemark(drive, found),
    ...modelRemark(drive, found),
  ];
}

function portRemark(drive: ModelDrive, found: DriveSeen): readonly ModelRemark[] {
  if (drive.port === undefined || found.controller === null || found.port === null) return [];
  const port = `${found.controller}.${portIdOf(found.port)}`;
  if (port === drive.port) return [];
  return [
    remark('moved', drive.serial, {
      expected: drive.port,
      found: port,
      text: `Drive ${drive.serial} is on port ${port}, the model has it on port ${drive.port}`,
    }),
  ];
}

function capacityRemark(drive: ModelDrive, found: DriveSeen): readonly ModelRemark[] {
  const share = Math.abs(found.capacityBytes - drive.capacity) / drive.capacity;
  if (share <= capacityTolerance) return [];
  const [is, should] = [formatBytes(found.capacityBytes), formatBytes(drive.capacity)];
  return [
    remark('different', drive.serial, {
      expected: should,
      found: is,
      text: `Drive ${drive.serial} says that it holds ${is}, the model says ${should}`,
    }),
  ];
}

function modelRemark(drive: ModelDrive, found: DriveSeen): readonly ModelRemark[] {
  if (drive.model === undefined || plain(drive.model) === plain(found.model)) return [];
  return [
    remark('different', drive.serial, {
      expected: drive.model,
      found: found.model,
      text: `Drive ${drive.serial} says that it is "${found.model}", the model says "${drive.model}"`,
    }),
  ];
}

function newDrive(seen: DriveSeen, drives: readonly ModelDrive[]): readonly ModelRemark[] {
  if (drives.some((drive) => drive.serial === seen.id)) return [];
  const what = `${seen.model}, ${formatBytes(seen.capacityBytes)}`;
  return [
    remark('new', seen.id, {
      found: what,
      text: `Drive ${seen.id} (${what}) is in the box but not in the model`,
    }),
  ];
}

function hostRemarks(
  host: ModelHost,
  model: BoxModel,
  seen: readonly ControllerSeen[],
): readonly ModelRemark[] {
  if (host.pci === undefined && host.hardwareAddress === undefined) return [];
  const found = seen.find((one) => hostOf(model, one)?.id === host.id);
  const place = host.pci ?? host.hardwareAddress ?? '';
  if (found === undefined) {
    return [
      remark('missing', host.id, {
        expected: place,
        text: `${host.id} is in the model at ${place} but nothing was found there`,
      }),
    ];
  }
  const wanted = host.kind === 'disk' ? 'disk-controller' : 'network-card';
  if (found.kind === wanted) return [];
  return [
    remark('different', host.id, {
      expected: host.kind,
      found: found.label,
      text: `${host.id} is a ${host.kind} part in the model, at ${place} is ${found.label}`,
    }),
  ];
}

function newController(seen: ControllerSeen, model: BoxModel): readonly ModelRemark[] {
  if (hostOf(model, seen) !== null) return [];
  const key = seen.pciAddress === null ? 'hardware-address' : 'pci';
  const place = seen.pciAddress ?? seen.hardwareAddress ?? 'an unknown place';
  const hint = `if a part of the model is meant, give that part ${key} = "${place}"`;
  return [
    remark('new', seen.id, {
      found: seen.label,
      text: `${seen.label} at ${place} is in the box but not in the model; ${hint}`,
    }),
  ];
}

function plain(text: string): string {
  return text.replace(/\s+/g, ' ').trim().toLowerCase();
}

function remark(
  kind: ModelRemark['kind'],
  subject: string,
  facts: { readonly expected?: string; readonly found?: string; readonly text: string },
): ModelRemark {
  const { expected = null, found = null, text } = facts;
  return { kind, subject, expected, found, text };
}
