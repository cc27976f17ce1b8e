import type { DriveSeen } from '../../checks/part.js';
import type { Reading } from '../../checks/reading.js';
import type { Box } from '../box/box.js';
import type { Clock } from '../clock.js';
import type { StoreWriter } from '../store/store.js';
import type { StartWorker } from '../workers/worker.js';

/** The part of the store that burn-ins use. */
export type BurnInStore = Pick<
  StoreWriter,
  | 'beginBoot'
  | 'partByName'
  | 'keepPart'
  | 'burnIns'
  | 'startBurnIn'
  | 'updateBurnIn'
  | 'journal'
  | 'appendJournal'
>;

/** Everything that burn-ins need from around them. */
export interface BurnInParts {
  readonly box: Box;
  readonly clock: Clock;
  readonly store: BurnInStore;
  readonly startWorker: StartWorker;
  /** Health readings of one drive; `during` wants no more than its temperature. */
  readonly takeReadings: (
    drive: DriveSeen,
    when: 'before' | 'during' | 'after',
  ) => Promise<readonly Reading[]>;
  /** Every drive that is there now. */
  readonly listDrives: () => Promise<readonly DriveSeen[]>;
  /** One device by its path, for what has no serial number; null when there is none. */
  readonly driveAtPath: (devicePath: string) => Promise<DriveSeen | null>;
  /** Reasons why the drive is in use; empty when it is not. */
  readonly inUse: (drive: DriveSeen) => Promise<readonly string[]>;
  /** Marked in the model file as holding data. */
  readonly holdsData: (drive: DriveSeen) => boolean;
  readonly pageMayErase: () => boolean;
  /** Whether the drive can still be returned; null when no date is known. */
  readonly returnIsOpen: (drive: DriveSeen) => boolean | null;
  /** 32 hexadecimal digits made by chance. */
  readonly makeSeed: () => string;
}

/** What a person asks for. */
export interface BurnInOptions {
  /** Serial number, or the device path of a drive without one. */
  readonly drive: string;
  readonly erase: boolean;
  readonly digits?: string;
  readonly eraseFound?: string;
  readonly askedFrom: 'box' | 'page';
}
