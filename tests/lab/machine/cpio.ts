import { closeSync, openSync, readFileSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';

/** One thing in an archive: bytes from memory or from a file, a link, or an empty folder. */
export type ArchiveEntry =
  | { readonly path: string; readonly mode: number; readonly data: Uint8Array }
  | { readonly path: string; readonly mode: number; readonly fromFile: string }
  | { readonly path: string; readonly linkTo: string }
  | { readonly path: string; readonly folder: true };

const kinds = { file: 0o100_000, folder: 0o040_000, link: 0o120_000 };

/**
 * Writes an archive that the kernel unpacks as its first file system: the "newc" form described
 * in the kernel's Documentation/driver-api/early-userspace/buffer-format.rst. Folders above each
 * entry are added; paths have no leading slash.
 */
export function writeArchive(file: string, entries: readonly ArchiveEntry[]): void {
  const descriptor = openSync(file, 'w');
  const folders = new Set<string>();
  try {
    for (const entry of entries) {
      for (const folder of missingFolders(entry.path, folders)) {
        writeEntry(descriptor, { path: folder, mode: kinds.folder | 0o755, data: noBytes });
      }
      writeEntry(descriptor, toRecord(entry));
      if ('folder' in entry) folders.add(entry.path);
    }
    writeEntry(descriptor, { path: 'TRAILER!!!', mode: 0, data: noBytes });
  } finally {
    closeSync(descriptor);
  }
}

const noBytes = new Uint8Array(0);

interface EntryRecord {
  readonly path: string;
  readonly mode: number;
  readonly data: Uint8Array;
}

function toRecord(entry: ArchiveEntry): EntryRecord {
  const { path } = entry;
  if ('folder' in entry) return { path, mode: kinds.folder | 0o755, data: noBytes };
  if ('linkTo' in entry) return { path, mode: kinds.link | 0o777, data: Buffer.from(entry.linkTo) };
  const data = 'data' in entry ? entry.data : readFileSync(entry.fromFile);
  return { path, mode: kinds.file | entry.mode, data };
}

/** Folders that must come before the entry, outermost first; each is given once. */
function missingFolders(path: string, known: Set<string>): string[] {
  const missing: string[] = [];
  for (let folder = dirname(path); folder !== '.'; folder = dirname(folder)) {
    if (known.has(folder)) break;
    known.add(folder);
    missing.unshift(folder);
  }
  return missing;
}

/** Header of 13 numbers in 8 hexadecimal digits, name, bytes; both padded to four bytes. */
function writeEntry(descriptor: number, entry: EntryRecord): void {
  const name = Buffer.from(`${entry.path}\0`);
  const numbers = [0, entry.mode, 0, 0, 1, 0, entry.data.length, 0, 0, 0, 0, name.length, 0];
  const header = `070701${numbers.map((number) => number.toString(16).padStart(8, '0')).join('')}`;
  const head = Buffer.concat([Buffer.from(header, 'latin1'), name]);
  for (const part of [head, entry.data]) {
    writeWhole(descriptor, part);
    writeWhole(descriptor, Buffer.alloc(-part.length & 3));
  }
}

function writeWhole(descriptor: number, bytes: Uint8Array): void {
  for (let done = 0; done < bytes.length; ) {
    done += writeSync(descriptor, bytes, done, bytes.length - done);
  }
}
