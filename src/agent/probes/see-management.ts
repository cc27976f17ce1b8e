import type { ManagementSeen } from '../../checks/part.js';
import type { Absence, Box } from '../box/box.js';
import { deviceIdCommand } from '../box/layouts/ipmi-commands.js';
import { type ControllerIdentity, decodeControllerIdentity } from '../box/layouts/ipmi-device.js';
import { decoded } from './decoded.js';
import { namesIn } from './read-kernel.js';

/** The management controller of the board, or one sentence why none can be asked. */
export type ManagementLook =
  | { readonly seen: ManagementSeen; readonly why: null }
  | { readonly seen: null; readonly why: string };

/** Asks the controller who it is: one short command, that changes nothing. */
export async function seeManagement(box: Box): Promise<ManagementLook> {
  if (box.management === undefined) return notSeen('There is no way to one from here');
  const answer = await box.management(deviceIdCommand);
  if (!answer.ok) return notSeen(await whyNone(box, answer.absence));
  const identity = decoded(() => decodeControllerIdentity(answer.value));
  return identity.ok
    ? { seen: seenFrom(identity.value), why: null }
    : notSeen(`It told no identity: ${identity.absence.text}`);
}

function notSeen(why: string): ManagementLook {
  return {
    seen: null,
    why: `No management controller: ${why.charAt(0).toLowerCase()}${why.slice(1)}`,
  };
}

async function whyNone(box: Box, { kind, text }: Absence): Promise<string> {
  if (kind !== 'not-there') return text;
  return (await isToldByFirmware(box))
    ? 'The firmware tells of one, but its kernel device is absent; load the kernel’s modules ipmi_si and ipmi_devintf'
    : 'The kernel shows no device of one, and the firmware tells of none';
}

/** IPI0001 in ACPI and table 38 of SMBIOS stand for one; Linux 6.1 drivers/char/ipmi. */
async function isToldByFirmware(box: Box): Promise<boolean> {
  const devices = await namesIn(box, '/sys/bus/acpi/devices');
  const tables = await namesIn(box, '/sys/firmware/dmi/entries');
  return (
    devices.some((name) => name.startsWith('IPI0001')) ||
    tables.some((name) => name.startsWith('38-'))
  );
}

function seenFrom(identity: ControllerIdentity): ManagementSeen {
  const { makerNumber, productNumber, firmware, specification } = identity;
  const maker = makerNumber === null ? 'maker not told' : `maker number ${makerNumber}`;
  return {
    kind: 'management-controller',
    id: 'management-controller',
    identityKey: `management:${makerNumber ?? 'none'}:${productNumber}`,
    label: `Management controller, ${maker}, product ${productNumber}`,
    firmware,
    specification,
    hasSensorList: identity.hasSensorList,
    hasEventLog: identity.hasEventLog,
  };
}
