import type { SimChip, SimHost, SimMachine, SimNetwork, SimPci, SimSeat } from './sim-plan.js';

/** The hardware of a simulated box. Everything in it may be changed while the box runs. */
export interface SimBoxParts {
  readonly machine: SimMachine;
  readonly pci: readonly SimPci[];
  readonly hosts: readonly SimHost[];
  readonly networks: readonly SimNetwork[];
  readonly chips: readonly SimChip[];
  readonly seats: readonly SimSeat[];
  readonly room: { celsius: number; swingCelsius: number };
}
