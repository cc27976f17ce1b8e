import type { KernelTree } from './kernel-tree.js';
import type { KernelView } from './sim-kernel-view.js';
import type { SimNames, SimSeat } from './sim-plan.js';

/** The array's own record, invented; a person called it so when it was made. */
const givenName = 'reading-room:recordings';
const uuid = '5f0a1b00:c0ffee12:0dd5eed5:00a7a7a7';

/** Identity of the array, as stored. */
export const arrayIdentity = `md:${uuid.replaceAll(':', '')}`;

/**
 * The md arrays that drives are said to belong to: running, any two members may fail; a drive that
 * is pulled out is missing in it. Files
 * and forms follow Linux Documentation/admin-guide/md.rst and drivers/md/md.c (md_seq_show).
 */
export function addArrays(tree: KernelTree, view: KernelView): void {
  const seated = [...view.seats];
  const names = new Set(seated.flatMap(([{ use }]) => use.array ?? []));
  const lines = ['Personalities : [raid6]'];
  for (const name of names) {
    const seats = seated.filter(([{ use }]) => use.array === name);
    const all = view.planned.filter(({ use }) => use.array === name).length;
    addArray(tree, name, { seats, all });
    const listed = seats.map(([, { kernelName }], place) => `${kernelName}[${place}]`).join(' ');
    const there = seats.length;
    const map = 'U'.repeat(there) + '_'.repeat(all - there);
    lines.push(
      `${name} : active raid6 ${listed}`,
      `      15627788288 blocks super 1.2 level 6, 512k chunk, algorithm 2 [${all}/${there}] [${map}]`,
      '',
    );
  }
  tree.file('/proc/mdstat', [...lines, 'unused devices: <none>'].join('\n'));
}

function addArray(
  tree: KernelTree,
  name: string,
  { seats, all }: { seats: readonly (readonly [SimSeat, SimNames])[]; all: number },
): void {
  const folder = `/sys/devices/virtual/block/${name}`;
  tree.link(`/sys/block/${name}`, folder);
  tree.link(`/sys/class/block/${name}`, folder);
  tree.link('/sys/dev/block/9:0', folder);
  tree.file(`/dev/${name}`, '');
  tree.link(`/dev/disk/by-id/md-name-${givenName}`, `/dev/${name}`);
  tree.link(`/dev/disk/by-id/md-uuid-${uuid}`, `/dev/${name}`);
  tree.files(folder, {
    dev: '9:0',
    size: '31255576576',
    ro: '0',
    'md/level': 'raid6',
    'md/raid_disks': String(all),
    'md/layout': '2',
    'md/array_state': () => (isWritten(seats) ? 'active' : 'clean'),
    'md/degraded': String(all - seats.length),
    'md/sync_action': 'idle',
    'md/sync_completed': 'none',
    'md/mismatch_cnt': '0',
    'md/last_sync_action': 'check',
    'md/uuid': uuid,
  });
  seats.forEach(([{ use }, { kernelName }], place) => {
    const member = `${folder}/md/dev-${kernelName}`;
    tree.files(member, {
      slot: String(place),
      state: 'in_sync',
      errors: () => String(use.arrayErrors),
    });
    tree.link(`${member}/block`, `/sys/class/block/${kernelName}`);
    tree.link(`${folder}/slaves/${kernelName}`, `/sys/class/block/${kernelName}`);
  });
}

function isWritten(seats: readonly (readonly [SimSeat, SimNames])[]): boolean {
  return seats.some(([{ load }]) => load.writeBytesPerSecond > 0);
}
