import type { KernelTree } from './kernel-tree.js';
import type { KernelView } from './sim-kernel-view.js';
import type { SimNames, SimSeat } from './sim-plan.js';

/** The array's own record, invented; a person called it so when it was made. */
const givenName = 'reading-room:recordings';
const uuid = '5f0a1b00:c0ffee12:0dd5eed5:00a7a7a7';

/**
 * The md arrays that drives are said to belong to: running, whole, any two members may fail. Files
 * and forms follow Linux Documentation/admin-guide/md.rst and drivers/md/md.c (md_seq_show).
 */
export function addArrays(tree: KernelTree, view: KernelView): void {
  const seated = [...view.seats];
  const names = new Set(seated.flatMap(([{ use }]) => use.array ?? []));
  const lines = ['Personalities : [raid6]'];
  for (const name of names) {
    const seats = seated.filter(([{ use }]) => use.array === name);
    addArray(tree, name, seats);
    const listed = seats.map(([, { kernelName }], place) => `${kernelName}[${place}]`).join(' ');
    const all = seats.length;
    lines.push(
      `${name} : active raid6 ${listed}`,
      `      15627788288 blocks super 1.2 level 6, 512k chunk, algorithm 2 [${all}/${all}] [${'U'.repeat(all)}]`,
      '',
    );
  }
  tree.file('/proc/mdstat', [...lines, 'unused devices: <none>'].join('\n'));
}

function addArray(
  tree: KernelTree,
  name: string,
  seats: readonly (readonly [SimSeat, SimNames])[],
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
    'md/raid_disks': String(seats.length),
    'md/layout': '2',
    'md/array_state': () => (isWritten(seats) ? 'active' : 'clean'),
    'md/degraded': '0',
    'md/sync_action': 'idle',
    'md/sync_completed': 'none',
    'md/mismatch_cnt': '0',
    'md/last_sync_action': 'check',
    'md/uuid': uuid,
  });
  seats.forEach(([, { kernelName }], place) => {
    const member = `${folder}/md/dev-${kernelName}`;
    tree.files(member, { slot: String(place), state: 'in_sync', errors: '0' });
    tree.link(`${member}/block`, `/sys/class/block/${kernelName}`);
    tree.link(`${folder}/slaves/${kernelName}`, `/sys/class/block/${kernelName}`);
  });
}

function isWritten(seats: readonly (readonly [SimSeat, SimNames])[]): boolean {
  return seats.some(([{ load }]) => load.writeBytesPerSecond > 0);
}
