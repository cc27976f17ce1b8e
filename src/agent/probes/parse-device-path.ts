/**
 * Where a device hangs, read from the real path of its folder under /sys/devices. Real paths are
 * stable in everything but the numbers that the kernel hands out in order of finding (ata, host).
 */
export interface DevicePlace {
  /** PCI functions on the way, outermost first; the last one is the controller or the device. */
  readonly pciAddresses: readonly string[];
  /** The kernel's name of the SATA port, such as "ata3", valid for this boot. */
  readonly ataPort: string | null;
  /** SCSI address on its host. */
  readonly channel: number | null;
  readonly target: number | null;
  readonly unit: number | null;
  /** USB port chain, such as "1-4.2". */
  readonly usbPort: string | null;
  /** Folder of the USB device, whose files describe the bridge. */
  readonly usbFolder: string | null;
  /** Folder of the SAS end device. */
  readonly sasFolder: string | null;
  /** Made up in software: by the host of a virtual machine or by this kernel. */
  readonly virtualBy: 'virtio' | 'xen' | 'hyper-v' | 'kernel' | null;
}

const pciAddress = /^[0-9a-f]{4,8}:[0-9a-f]{2}:[0-9a-f]{2}\.[0-7]$/;

export function parseDevicePath(realPath: string): DevicePlace {
  const parts = realPath.split('/');
  const scsi = lastMatch(parts, /^\d{1,10}:(\d{1,10}):(\d{1,10}):(\d{1,15})$/);
  return {
    pciAddresses: parts.filter((part) => pciAddress.test(part)),
    ataPort: parts.find((part) => /^ata\d+$/.test(part)) ?? null,
    channel: scsi === null ? null : Number(scsi[1]),
    target: scsi === null ? null : Number(scsi[2]),
    unit: scsi === null ? null : Number(scsi[3]),
    usbPort: lastMatch(parts, /^\d+-[\d.]+$/)?.[0] ?? null,
    usbFolder: folderOf(parts, /^\d+-[\d.]+$/),
    sasFolder: folderOf(parts, /^end_device-[\d:]+$/),
    virtualBy: virtualBy(parts),
  };
}

/**
 * A disk behind a virtual SCSI host can be a real drive passed through, so a host ends the claim.
 */
function virtualBy(parts: readonly string[]): DevicePlace['virtualBy'] {
  if (parts.some((part) => /^host\d+$/.test(part))) return null;
  if (parts.some((part) => /^virtio\d+$/.test(part))) return 'virtio';
  if (parts.some((part) => /^(vbd|vif)-\d+/.test(part))) return 'xen';
  if (parts.some((part) => /^VMBUS:/i.test(part))) return 'hyper-v';
  const isNvme = parts.includes('nvme-subsystem');
  return parts[3] === 'virtual' && !isNvme ? 'kernel' : null;
}

function lastMatch(parts: readonly string[], pattern: RegExp): RegExpExecArray | null {
  let found: RegExpExecArray | null = null;
  for (const part of parts) found = pattern.exec(part) ?? found;
  return found;
}

function folderOf(parts: readonly string[], pattern: RegExp): string | null {
  const index = parts.findLastIndex((part) => pattern.test(part));
  return index < 0 ? null : parts.slice(0, index + 1).join('/');
}

/** Short form of a PCI address for names: "0000:00:1f.2" becomes "00-1f-2". */
export function shortPciAddress(address: string): string {
  return address.replace(/^0000:/, '').replaceAll(/[:.]/g, '-');
}
