import type { PartRow } from '../agent/store/rows.js';
import { type FigureName, formatFigureName } from '../checks/figure-name.js';
import { identityDoubt } from '../checks/identity-doubt.js';
import type { BoxModel } from '../checks/model/parse.js';

/** Parts that a box may have several of with the same label: their id tells them apart. */
const alikeKinds: readonly string[] = ['disk-controller', 'network-card'];

/** A part's name on pages: a drive by its bay, its model and the last four of its serial. */
export function partTitle(part: PartRow): string {
  if (part.kind !== 'drive') return idTitle(part);
  const serial = serialOf(part);
  const bay = textDetail(part, 'bay');
  // A serial that is told twice or stands for none tells no drives apart: the part's id does.
  const ending = identityDoubt(part) === null ? serial.slice(-4) : part.name;
  const words = [
    bay === null ? null : `Bay ${bay}`,
    part.label.trim() || namelessDrive(part),
    ending === '' ? null : ending,
  ].filter((one) => one !== null);
  // Spaces before the dots do not break, so that the last four stay with what they belong to.
  return words.join('\u00a0· ').replace(/· (?=[^·]*$)/, '·\u00a0');
}

function idTitle({ kind, label, name }: PartRow): string {
  if (label === '') return name;
  return alikeKinds.includes(kind) ? `${label}\u00a0· ${name}` : label;
}

/** Parts as they are kept, each drive with the bay that the model file gives it. */
export function withBays(parts: readonly PartRow[], model: BoxModel | null): readonly PartRow[] {
  const bays = new Map((model?.drives ?? []).map((drive) => [drive.serial, drive.bay]));
  return parts.map((part) => {
    const bay = bays.get(part.name);
    return bay === undefined ? part : { ...part, details: { ...part.details, bay } };
  });
}

function namelessDrive(part: PartRow): string {
  return part.details.reachedBy === 'virtual' ? 'Virtual disk' : 'Drive without a model name';
}

export function partHref(name: string): string {
  return `/part/${encodeURIComponent(name)}`;
}

/** The page with the bytes that a figure of a part was read from. */
export function bytesHref(name: string, figure: FigureName): string {
  return `${partHref(name)}/bytes?figure=${encodeURIComponent(formatFigureName(figure))}`;
}

export function serialOf(part: PartRow): string {
  return textDetail(part, 'serial') ?? '';
}

/** A text among the details of a part, or null when it is absent or of another kind. */
export function textDetail(part: PartRow, key: string): string | null {
  const value = part.details[key];
  return typeof value === 'string' && value.trim() !== '' ? value : null;
}

export function numberDetail(part: PartRow, key: string): number | null {
  const value = part.details[key];
  return typeof value === 'number' && Number.isFinite(value) ? value : null;
}

/** Title of a finding's or run's subject: the part when it is known, else the bare id. */
export function subjectTitle(name: string, parts: readonly PartRow[]): string {
  const part = parts.find((one) => one.name === name);
  return part === undefined ? name : partTitle(part);
}
