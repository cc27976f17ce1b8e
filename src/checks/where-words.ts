import type { KeptPart } from './check-input.js';
import { driveName } from './drive-name.js';
import { lastPlace } from './gone.js';
import { leadOf } from './model/drive-surroundings.js';
import type { BoxModel } from './model/parse.js';

/**
 * Where a finding's subject is found in the box, in one sentence for its next step: bay, port and
 * power lead of a drive, slot of a card or module, drives of a power lead. Null where neither the
 * kernel nor the model tells. Pure; never throws.
 */
export function whereWords(
  subject: string,
  { parts, model }: { readonly parts: readonly KeptPart[]; readonly model: BoxModel | null },
): string | null {
  const part = parts.find(({ name }) => name === subject);
  if (part === undefined) return leadWords(subject, model);
  if (part.kind === 'drive') return driveWords(part, model);
  if (part.kind === 'memory') return memoryWords(part);
  if (part.kind === 'disk-controller' || part.kind === 'network-card')
    return cardWords(part, model);
  return null;
}

function driveWords({ name, details }: KeptPart, model: BoxModel | null): string | null {
  const bay = model?.drives.find(({ serial }) => serial === name)?.bay ?? null;
  const place = lastPlace(details);
  const lead = leadOf(model, name);
  const known = [
    bay === null ? null : `in bay ${bay}`,
    place === null ? null : `on ${place}`,
    lead === null ? null : `fed by power lead ${lead}`,
  ].filter((one) => one !== null);
  if (known.length === 0) return null;
  return `The drive with the serial ending ${name.slice(-4)} is ${known.join(', ')}.`;
}

function memoryWords({ details: { slot } }: KeptPart): string | null {
  return typeof slot === 'string' && slot !== '' ? `The module is in slot ${slot}.` : null;
}

function cardWords({ name, details }: KeptPart, model: BoxModel | null): string | null {
  const { pciAddress } = details;
  const slot = model?.cards.find(({ id }) => id === name)?.slot ?? null;
  const address = typeof pciAddress === 'string' ? `at PCI address ${pciAddress}` : null;
  if (slot !== null) return `The card is in ${slot}${address === null ? '' : `, ${address}`}.`;
  return address === null ? null : `It is ${address}.`;
}

function leadWords(subject: string, model: BoxModel | null): string | null {
  const lead = model?.powerLeads.find(({ id }) => id === subject);
  if (lead === undefined) return null;
  const fed = lead.feeds.map((id) => {
    const drive = model?.drives.find(({ serial }) => serial === id);
    return drive === undefined ? `power lead ${id}` : driveName(id, drive.bay ?? null);
  });
  const plug = lead.moulded === true ? ', its plugs are moulded' : '';
  return `Power lead ${subject} feeds ${fed.join(', ')}${plug}.`;
}
