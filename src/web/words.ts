import type { BurnInStage, BurnInState, PlaceErrorKind } from '../checks/burn-in-result.js';
import type { PartKind } from '../checks/part.js';

/** Words of pages for the closed lists of the contract that no command shows. */
export const stageWords: Readonly<Record<BurnInStage, string>> = {
  'readings-before': 'Readings before',
  'full-read': 'Full read',
  'stamped-write': 'Stamped write',
  verify: 'Verify',
  'readings-after': 'Readings after',
};

export const burnInStateWords: Readonly<Record<BurnInState, string>> = {
  planned: 'planned',
  running: 'running',
  paused: 'paused',
  stopped: 'stopped',
  interrupted: 'interrupted',
  finished: 'finished',
};

export const errorKindWords: Readonly<Record<PlaceErrorKind, string>> = {
  unreadable: 'unreadable',
  damaged: 'damaged: other bytes than written',
  misplaced: 'misplaced: bytes of another place on this drive',
  stale: 'stale: bytes of an earlier pass',
  'other-drive': 'bytes of another drive',
  wrapped: 'wrapped: the drive is smaller than it says',
  unwritable: 'could not be written',
  aborted: 'command aborted',
  'timed-out': 'no answer in time',
};

/**
 * Groups of parts as pages list them. `keys` are the names under which the agent gives the reason
 * for an empty group; a group without keys is left out when it is empty.
 */
export const partGroups: readonly {
  readonly kind: PartKind;
  readonly title: string;
  readonly keys: readonly string[];
}[] = [
  { kind: 'drive', title: 'Drives', keys: ['drives'] },
  { kind: 'disk-controller', title: 'Disk controllers', keys: ['disk-controllers', 'controllers'] },
  { kind: 'network-card', title: 'Network cards', keys: ['network-cards', 'network'] },
  { kind: 'sensor-chip', title: 'Sensors of the board', keys: ['sensor-chips', 'sensors', 'fans'] },
  { kind: 'slot', title: 'Slots', keys: [] },
  { kind: 'memory', title: 'Memory', keys: [] },
  { kind: 'processor', title: 'Processor', keys: [] },
];
