import type { FileSource } from './kernel-tree.js';

/**
 * Shapes of kernel folders that no emulated machine has, made by hand after the kernel's own
 * documents. Every subject stands here three times: as it should be, with its files absent, and
 * with contents that no sound kernel shows. Drives and makers are invented.
 */
export type Entries = Readonly<Record<string, FileSource>>;

export interface RecordedShape {
  readonly tree: Entries;
  /** "metric place", then the figure, or the state where there is none. */
  readonly rows: readonly (readonly [figure: string, value: number | string])[];
}

export interface RecordedSubject {
  /** The function of the probes that reads it. */
  readonly reader: string;
  readonly source: string;
  readonly good: RecordedShape;
  readonly absent: RecordedShape;
  readonly absurd: RecordedShape;
}

/** Files of one folder as entries of a tree. */
export function below(folder: string, files: Entries): Entries {
  return Object.fromEntries(
    Object.entries(files).map(([name, source]) => [`${folder}/${name}`, source]),
  );
}

/** A PCI function behind a port, with files of its own. */
export function pciCard(classCode: string, files: Entries, portFiles: Entries = {}): Entries {
  return {
    '/sys/block/': '',
    '/sys/bus/pci/devices/0000:00:1c.0 ->': pciPort,
    ...below(pciPort, { class: '0x060400', ...portFiles }),
    '/sys/bus/pci/devices/0000:03:00.0 ->': pciFolder,
    ...below(pciFolder, { class: classCode, vendor: '0x1000', device: '0x0097', ...files }),
  };
}

const pciPort = '/sys/devices/pci0000:00/0000:00:1c.0';
export const pciFolder = `${pciPort}/0000:03:00.0`;

/** A disk on a SATA port, with the folders of its link. */
export function sataDisk(letter: string, minor: number): Entries {
  const device = sataFolder(minor);
  const disk = `${device}/block/sd${letter}`;
  return {
    [`/sys/block/sd${letter} ->`]: disk,
    [`/sys/class/block/sd${letter} ->`]: disk,
    ...below(disk, { dev: `8:${minor * 16}`, size: '15628053168', 'device ->': device }),
    [`${device}/vpd_pg80`]: serialPage(`TVN4410${letter.toUpperCase()}`),
    [`${device}/vendor`]: 'ATA     ',
  };
}

export function sataFolder(minor: number): string {
  return `/sys/devices/pci0000:00/0000:00:1f.2/ata${minor}/host${minor}/target${minor}:0:0/${minor}:0:0:0`;
}

/** Page 80h of SPC-4: peripheral byte, page code, length, serial. */
function serialPage(serial: string): Uint8Array {
  return Buffer.concat([Buffer.from([0, 0x80, 0, serial.length]), Buffer.from(serial)]);
}

/** Page 89h of which only the command and word 76 of IDENTIFY DEVICE are filled in. */
export function ratePage(word76: number): Uint8Array {
  const page = Buffer.alloc(572);
  page.set([0x00, 0x89, 0x02, 0x38]);
  page[56] = 0xec;
  page.writeUInt16LE(word76, 60 + 2 * 76);
  return page;
}
