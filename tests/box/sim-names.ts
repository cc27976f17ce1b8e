import type { SimHost, SimNames, SimSeat } from './sim-plan.js';

export interface BootNames {
  readonly seats: Map<SimSeat, SimNames>;
  readonly tally: Tally;
  readonly firstPort: ReadonlyMap<string, number>;
  readonly firstHwmon: number;
}

/**
 * Hands out the names of one boot. Controllers and disks are found in an order that chance
 * decides, as with asynchronous probing: letters, port numbers and disk sequences all move.
 */
export function nameForBoot(
  seats: readonly SimSeat[],
  hosts: readonly SimHost[],
  chance: () => number,
): BootNames {
  const firstPort = new Map<string, number>();
  const hostNumbers = new Map<string, number>();
  let nextPort = 1;
  for (const host of shuffled(hosts, chance)) {
    firstPort.set(host.pci, nextPort);
    hostNumbers.set(host.pci, nextPort - 1);
    nextPort += host.kind === 'ahci' ? host.ports : 1;
  }
  const named = new Map<SimSeat, SimNames>();
  const tally: Tally = { sequence: 8, taken: new Set() };
  for (const seat of shuffled(
    seats.filter(({ place }) => place !== null),
    chance,
  )) {
    named.set(seat, nextNames(seat, tally, hostNumberOf(seat, { firstPort, hostNumbers, hosts })));
  }
  return { seats: named, tally, firstPort, firstHwmon: Math.floor(chance() * 3) };
}

/**
 * What is handed out. A drive plugged in while the box runs gets the first name that is free, which
 * is that of a drive pulled out before unless something still holds its old device open.
 */
export interface Tally {
  /** Number of the newest disk: none is given twice. */
  sequence: number;
  readonly taken: Set<string>;
}

export function nextNames(seat: SimSeat, tally: Tally, hostNumber: number): SimNames {
  const isNvme = seat.drive.options.kind === 'nvme';
  const nameOf = (index: number) =>
    isNvme ? `nvme${index}n1` : `sd${String.fromCharCode(97 + index)}`;
  let index = 0;
  while (tally.taken.has(nameOf(index))) index += 1;
  tally.taken.add(nameOf(index));
  tally.sequence += 1;
  return {
    kernelName: nameOf(index),
    deviceNumber: isNvme ? `259:${index}` : `8:${16 * index}`,
    diskSequence: String(tally.sequence),
    counters: { reads: 0, sectorsRead: 0, writes: 0, sectorsWritten: 0, busyMs: 0 },
    hostNumber,
  };
}

export interface HostFacts {
  readonly firstPort: ReadonlyMap<string, number>;
  readonly hostNumbers: ReadonlyMap<string, number>;
  readonly hosts: readonly SimHost[];
}

/** On AHCI each port is a host of its own; a SAS card is one host. */
export function hostNumberOf({ place }: SimSeat, facts: HostFacts): number {
  if (place === null) return 0;
  const isAhci = facts.hosts.some(({ pci, kind }) => pci === place.pci && kind === 'ahci');
  return isAhci
    ? (facts.firstPort.get(place.pci) ?? 1) + place.port - 1
    : (facts.hostNumbers.get(place.pci) ?? 0);
}

function shuffled<T>(items: readonly T[], chance: () => number): readonly T[] {
  const left = [...items];
  const mixed: T[] = [];
  while (left.length > 0) {
    mixed.push(...left.splice(Math.floor(chance() * left.length), 1));
  }
  return mixed;
}
