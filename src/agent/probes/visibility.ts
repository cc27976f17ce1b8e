import type { DriveInterface } from '../../checks/part.js';
import type { DevicePlace } from './parse-device-path.js';

export interface VisibilityFacts {
  readonly blockName: string;
  readonly place: DevicePlace;
  /** INQUIRY vendor and product as the kernel keeps them, empty where there are none. */
  readonly vendor: string;
  readonly product: string;
  /** File behind a loop device. */
  readonly backingFile: string | null;
}

export interface Visibility {
  readonly reachedBy: DriveInterface;
  readonly notVisibleWhy: string | null;
}

const madeUpVendors = /^(QEMU|VMware|VBOX|Msft|Xen|Google|Amazon)$/i;
const raidVolumes = /\b(PERC|LOGICAL VOLUME|MR\d{4}|RAID|SERVERAID)\b/i;

/**
 * How a drive can be asked, and why its health records stay hidden where they do. Names of
 * hypervisors and of RAID volumes as they stand in INQUIRY data: from memory.
 */
export function visibilityOf(facts: VisibilityFacts): Visibility {
  const virtual = virtualWhy(facts);
  if (virtual !== null) return { reachedBy: 'virtual', notVisibleWhy: virtual };
  if (/^nvme/.test(facts.blockName)) return { reachedBy: 'nvme', notVisibleWhy: null };
  if (facts.place.usbPort !== null) return { reachedBy: 'usb', notVisibleWhy: null };
  if (facts.vendor === 'ATA') return { reachedBy: 'ata', notVisibleWhy: null };
  return { reachedBy: 'scsi', notVisibleWhy: hiddenWhy(facts) };
}

function virtualWhy({ blockName, place, backingFile }: VisibilityFacts): string | null {
  if (/^loop/.test(blockName)) {
    return `Virtual disk: the file ${backingFile ?? 'behind a loop device'}, shown as a disk by the kernel`;
  }
  if (/^(nbd|rbd)/.test(blockName))
    return 'Virtual disk: it lies on another machine of the network';
  if (/^mmcblk/.test(blockName)) {
    return 'Memory card or soldered flash: this version does not read the records of this kind';
  }
  if (/^(vd|xvd)/.test(blockName) || isByHost(place)) {
    return 'Virtual disk: the host of this virtual machine provides it and no drive can be asked';
  }
  return place.virtualBy === 'kernel'
    ? 'Virtual disk: made up by the kernel, no drive is there'
    : null;
}

function isByHost(place: DevicePlace): boolean {
  return place.virtualBy !== null && place.virtualBy !== 'kernel';
}

function hiddenWhy({ vendor, product }: VisibilityFacts): string | null {
  if (madeUpVendors.test(vendor)) {
    return `Virtual disk: the host of this virtual machine (${vendor}) provides it and no drive can be asked`;
  }
  if (raidVolumes.test(`${vendor} ${product}`)) {
    return 'Behind a RAID controller: it shows a volume of its own and hides the drives';
  }
  return null;
}
