import type { BurnInState } from '../checks/burn-in-result.js';
import type { PartKind } from '../checks/part.js';

/** Words of a burn-in's state, which no command shows. */
export const burnInStateWords: Readonly<Record<BurnInState, string>> = {
  planned: 'planned',
  running: 'running',
  paused: 'paused',
  stopped: 'stopped',
  interrupted: 'interrupted',
  finished: 'finished',
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
  { kind: 'array', title: 'Arrays', keys: ['arrays'] },
  { kind: 'disk-controller', title: 'Disk controllers', keys: ['disk-controllers'] },
  { kind: 'network-card', title: 'Network cards', keys: ['network-cards'] },
  { kind: 'sensor-chip', title: 'Sensors of the board', keys: ['sensor-chips'] },
  {
    kind: 'management-controller',
    title: 'Management controller',
    keys: ['management-controller'],
  },
  { kind: 'box', title: 'The box itself', keys: [] },
  { kind: 'slot', title: 'Slots', keys: [] },
  { kind: 'memory', title: 'Memory', keys: ['memory'] },
  { kind: 'processor', title: 'Processor', keys: [] },
];
