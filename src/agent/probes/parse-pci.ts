/**
 * Text of current_link_speed and max_link_speed as gigatransfers per second; null for "Unknown"
 * and anything that is no number. Source: Linux drivers/pci/pci-sysfs.c, "8.0 GT/s PCIe".
 */
export function parseLinkSpeed(text: string | null): number | null {
  const match = /^(\d{1,3}(?:\.\d{1,3})?) GT\/s/.exec(text ?? '');
  const speed = match === null ? 0 : Number(match[1]);
  return speed > 0 ? speed : null;
}

/** Text of current_link_width and max_link_width; 0 is no link and 255 is unknown, both null. */
export function parseLinkWidth(text: string | null): number | null {
  const width = /^\d{1,3}$/.test(text ?? '') ? Number(text) : 0;
  return width >= 1 && width <= 32 ? width : null;
}

export interface PciKind {
  readonly kind: 'disk-controller' | 'network-card' | 'other';
  /** The class in plain words, capital first. */
  readonly words: string;
  /** A function that is a drive itself rather than a controller with ports. */
  readonly isNvme: boolean;
}

const diskClasses: Readonly<Record<string, string>> = {
  '00': 'SCSI controller',
  '01': 'IDE controller',
  '04': 'RAID controller',
  '05': 'ATA controller',
  '06': 'SATA controller',
  '07': 'SAS controller',
  '08': 'NVMe controller',
};

/**
 * Kind of a PCI function from its class file, such as "0x010601". Source: PCI code list, memory.
 */
export function parsePciClass(text: string | null): PciKind {
  const match = /^0x([0-9a-f]{2})([0-9a-f]{2})[0-9a-f]{2}$/.exec(text ?? '');
  const [, base, sub] = match ?? ['', '', ''];
  if (base === '01') {
    const words = diskClasses[sub ?? ''] ?? 'Disk controller';
    return { kind: 'disk-controller', words, isNvme: sub === '08' };
  }
  if (base === '02') {
    return { kind: 'network-card', words: 'Network card', isNvme: false };
  }
  return { kind: 'other', words: 'Other PCI function', isNvme: false };
}
