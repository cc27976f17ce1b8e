/**
 * Which names of a drive can be trusted to be its own. Cheap bridges and unprogrammed drives
 * bring fillers that many drives share; a filler counts as no name at all.
 */

const fillers = new Set([
  '0123456789abcdef',
  '123456789abcdef',
  '0123456789',
  '1234567890',
  '123456789012',
  '123456789',
  '12345678',
  'deadbeef',
  'none',
  'null',
  'n/a',
  'unknown',
  'default string',
  'not specified',
  'not available',
  'to be filled by o.e.m.',
]);

/**
 * True for an empty serial, one repeated character or a known filler. Common practice, no source.
 */
export function isPlaceholderSerial(serial: string): boolean {
  const text = serial.trim().toLowerCase();
  if (text.length < 3) return true;
  if (/^(.)\1*$/.test(text)) return true;
  return fillers.has(text) || /^(?:0?1234567890?)+$/.test(text);
}

/**
 * True for a world-wide name without a maker or without a number: behind the first digit nothing.
 */
export function isPlaceholderWorldWideName(name: string): boolean {
  const text = name.toLowerCase();
  if (!/^[0-9a-f]{16}(?:[0-9a-f]{16})?$/.test(text)) return true;
  if (/^(.)\1*$/.test(text.slice(1)) || /^0+$/.test(text.slice(7))) return true;
  if (/^0+$/.test(text.slice(1, 7))) return true;
  return fillers.has(text);
}

/** World-wide name out of the kernel's wwid text: "naa.5000c500a1b2c3d4" or "eui.00253881…". */
export function worldWideNameOf(wwid: string | null): string | null {
  const match = /^(?:naa|eui|0x)\.?([0-9a-f]+)$/i.exec(wwid ?? '');
  const name = match?.[1]?.toLowerCase() ?? null;
  return name === null || isPlaceholderWorldWideName(name) ? null : name;
}

/** What is known about a drive before its lasting identity is settled. */
export interface NamesOfDrive {
  readonly model: string;
  readonly serial: string;
  readonly worldWideName: string | null;
  /** Path of controller and port, or of the device folder: the last resort. */
  readonly place: string;
  readonly virtual: boolean;
}

/** Lasting identity: the world-wide name, else model and serial, else the place. */
export function identityKeyOf(names: NamesOfDrive): string {
  if (names.virtual) return `virtual:${names.place}`;
  if (names.worldWideName !== null) return `wwn:${names.worldWideName}`;
  if (!isPlaceholderSerial(names.serial)) return `serial:${names.model}/${names.serial}`;
  return `place:${names.place}/${names.model}`;
}

/** Indexes of the drives that share a serial or a world-wide name with another one. */
export function sharedIdentities(all: readonly NamesOfDrive[]): ReadonlySet<number> {
  const shared = new Set<number>();
  for (const keysOf of [serialKey, nameKey]) {
    const byKey = new Map<string, number[]>();
    all.forEach((names, index) => {
      const key = keysOf(names);
      if (key !== null) byKey.set(key, [...(byKey.get(key) ?? []), index]);
    });
    for (const indexes of byKey.values()) {
      if (indexes.length > 1) for (const index of indexes) shared.add(index);
    }
  }
  return shared;
}

/** A filler is compared too: several drives with one filler cannot be told apart. */
function serialKey(names: NamesOfDrive): string | null {
  return names.virtual && names.serial === '' ? null : names.serial.trim().toLowerCase();
}

function nameKey(names: NamesOfDrive): string | null {
  return names.worldWideName;
}
