import type { PartRow } from '../agent/store/rows.js';

/** A part's name on pages: a drive by its model and the last four of its serial. */
export function partTitle(part: PartRow): string {
  if (part.kind !== 'drive') return part.label || part.name;
  const label = part.label.trim() || 'Drive without a model name';
  const serial = serialOf(part);
  return serial === '' ? label : `${label} …${serial.slice(-4)}`;
}

export function partHref(name: string): string {
  return `/part/${encodeURIComponent(name)}`;
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
