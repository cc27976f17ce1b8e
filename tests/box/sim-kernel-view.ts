import type { Clock } from '../../src/agent/clock.js';
import type {
  SimChip,
  SimHost,
  SimMachine,
  SimNames,
  SimNetwork,
  SimPci,
  SimSeat,
} from './sim-plan.js';

/** Everything that the kernel of a simulated box shows in one boot. */
export interface KernelView {
  readonly machine: SimMachine;
  readonly clock: Clock;
  readonly pci: readonly SimPci[];
  readonly hosts: readonly SimHost[];
  readonly networks: readonly SimNetwork[];
  readonly chips: readonly SimChip[];
  readonly seats: ReadonlyMap<SimSeat, SimNames>;
  /** Every drive that was ever planned, also those that are pulled out. */
  readonly planned: readonly SimSeat[];
  /** Number of the first SATA port of each AHCI controller in this boot, by PCI address. */
  readonly firstPort: ReadonlyMap<string, number>;
  /** Number of the next hwmon node. */
  readonly firstHwmon: number;
  /** Brings counters and temperatures up to now; called before a file that shows them is read. */
  readonly settle: () => void;
}

/** Real path of a PCI function: the root, the bridges above it, itself. */
export function pciPath(view: KernelView, address: string): string {
  const above = view.pci.find((one) => one.address === address)?.above ?? null;
  const parent = above === null ? '/sys/devices/pci0000:00' : pciPath(view, above);
  return `${parent}/${address}`;
}
