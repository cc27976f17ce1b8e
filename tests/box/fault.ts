import type { SimBox } from './sim-box.js';
import type { SimStart } from './sim-plan.js';

/** What a fault is planted on: a drive by serial, a second one, and a card by its PCI address. */
export interface FaultTarget {
  readonly serial: string;
  readonly otherSerial: string;
  readonly card: string;
}

/**
 * One fault of a whole box: how it comes about, what a reading must show of it, and the finding
 * that has to open within so many health readings (for `surroundings`: minutes of watching).
 */
export interface BoxFault {
  readonly name: string;
  readonly what: string;
  readonly finding: string;
  /** The part that the finding is about. */
  readonly about:
    | 'drive'
    | 'card'
    | 'controller'
    | 'array'
    | 'memory'
    | 'power-lead'
    | 'sensor-chip'
    | 'board'
    | 'box';
  readonly metric: string;
  readonly seenBy: 'health' | 'surroundings' | 'speed' | 'kernel';
  readonly roundsMax: number;
  readonly drive: 'sata-disk' | 'nvme' | 'trial' | 'any';
  /** What the kernel has to show before the box is switched on. */
  prepare?(box: SimBox): void;
  /** It shows in records that are read only while nothing else happens. */
  readonly idle?: true;
  /** It happens so many times, five minutes apart; once when not told. */
  readonly times?: number;
  /** It shows after the next start. */
  readonly restarts?: true;
  /** It shows after these starts, one after the other. */
  readonly starts?: readonly SimStart[];
  /** Codes of findings that come and clear by themselves before it is seen. */
  readonly passing?: readonly string[];
  plant(box: SimBox, target: FaultTarget): void;
  /** Takes the cause away; counters that grew stay grown. */
  repair(box: SimBox, target: FaultTarget): void;
}
