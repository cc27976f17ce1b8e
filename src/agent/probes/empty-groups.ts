/** What was found of each group, and what the kernel offers to find it with. */
export interface GroupFacts {
  readonly drives: number;
  readonly virtualDrives: number;
  readonly diskControllers: number;
  readonly networkCards: number;
  readonly arrays: number;
  readonly memory: number;
  readonly memoryCounted: number;
  readonly chips: number;
  readonly temperatures: number;
  readonly fans: number;
  readonly sataLinks: number;
  readonly hasHwmonFolder: boolean;
  readonly hasAtaFolder: boolean;
  readonly hasPciFolder: boolean;
  readonly sysReadable: boolean;
  readonly virtualMachine: boolean;
}

/**
 * For each empty group one sentence that says why it is empty, as far as the kernel's own files
 * tell. A group that is not empty has no sentence.
 */
export function emptyGroups(facts: GroupFacts): Readonly<Record<string, string>> {
  const reasons: readonly (readonly [string, number, string])[] = [
    ['drives', facts.drives, drivesWhy(facts)],
    ['disk-controllers', facts.diskControllers, controllersWhy(facts)],
    ['network-cards', facts.networkCards, networkWhy(facts)],
    ['arrays', facts.arrays, arraysWhy(facts)],
    ['memory', facts.memory, memoryWhy(facts)],
    ['memory-errors', facts.memoryCounted, memoryErrorsWhy(facts)],
    ['sensor-chips', facts.chips, sensorsWhy(facts, 'sensor chip of the board')],
    ['temperature-sensors', facts.temperatures, sensorsWhy(facts, 'temperature sensor')],
    ['fans', facts.fans, sensorsWhy(facts, 'fan input')],
    ['sata-links', facts.sataLinks, sataWhy(facts)],
  ];
  const empty = facts.sysReadable ? reasons.filter(([, count]) => count === 0) : reasons;
  return Object.fromEntries(empty.map(([group, , why]) => [group, why]));
}

const sysHidden = 'The kernel’s device tree under /sys cannot be read here';

function drivesWhy({ sysReadable }: GroupFacts): string {
  return sysReadable
    ? 'The kernel shows no disk at all: none is connected or none has a driver'
    : sysHidden;
}

function controllersWhy(facts: GroupFacts): string {
  if (!facts.sysReadable) return sysHidden;
  if (!facts.hasPciFolder) return 'This machine has no PCI bus that the kernel shows';
  if (facts.drives > 0 && facts.drives === facts.virtualDrives) {
    return 'No PCI function is a disk controller with ports: each disk is virtual and is a function of its own';
  }
  return 'No function on the PCI bus is a disk controller with ports';
}

function networkWhy({ sysReadable }: GroupFacts): string {
  return sysReadable ? 'The kernel shows no network interface with a device behind it' : sysHidden;
}

function arraysWhy({ sysReadable }: GroupFacts): string {
  return sysReadable
    ? 'The kernel runs no array: no md array, no mounted btrfs file system and no imported ZFS pool'
    : sysHidden;
}

function memoryWhy({ sysReadable }: GroupFacts): string {
  return sysReadable
    ? 'The firmware’s table of memory modules could not be read; that takes root and the program dmidecode'
    : sysHidden;
}

function memoryErrorsWhy({ sysReadable }: GroupFacts): string {
  return sysReadable
    ? 'No memory errors are reported at all: the memory or the board keeps no check codes, or the kernel has no driver for them. That is not the same as no errors'
    : sysHidden;
}

function sensorsWhy(facts: GroupFacts, what: string): string {
  if (!facts.sysReadable) return sysHidden;
  if (!facts.hasHwmonFolder) {
    return facts.virtualMachine
      ? `No ${what}: a virtual machine is shown none of its host’s sensors`
      : `No ${what}: the kernel has no sensor driver loaded (/sys/class/hwmon is absent)`;
  }
  return `No ${what}: none of the loaded sensor drivers offers one; the driver of the board’s chip may be missing`;
}

function sataWhy(facts: GroupFacts): string {
  if (!facts.sysReadable) return sysHidden;
  if (!facts.hasAtaFolder) return 'The kernel shows no SATA port: no SATA controller is in use';
  return 'The kernel shows SATA ports, but none has a drive';
}
