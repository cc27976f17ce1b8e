import { existsSync, readdirSync, readFileSync, realpathSync } from 'node:fs';
import { expect, test } from 'vitest';
import { createLinuxBox } from '../../../src/agent/box/linux-box.js';
import { driveInUse } from '../../../src/agent/probes/in-use.js';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { readLinks } from '../../../src/agent/probes/links.js';
import { readNetwork } from '../../../src/agent/probes/network.js';
import { readSensors } from '../../../src/agent/probes/sensors.js';

/** These run on whatever machine the tests run on and compare with its own /sys, read directly. */

const wholeDisk = /^(sd[a-z]+|vd[a-z]+|xvd[a-z]+|nvme\d+n\d+)$/;

function namesIn(folder: string): readonly string[] {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}

test('each disk of this machine is listed once', async () => {
  const { drives } = await takeInventory(createLinuxBox());
  const expected = namesIn('/sys/block').filter((name) => wholeDisk.test(name));
  const found = drives.map(({ kernelName }) => kernelName).filter((name) => wholeDisk.test(name));
  expect(found.sort()).toEqual([...expected].sort());
  expect(new Set(drives.map(({ identityKey }) => identityKey)).size).toBe(drives.length);
});

test('a virtio disk is listed as virtual with the reason', async () => {
  const { drives } = await takeInventory(createLinuxBox());
  for (const drive of drives.filter(({ kernelName }) => kernelName.startsWith('vd'))) {
    expect(drive.reachedBy).toBe('virtual');
    expect(drive.notVisibleWhy).toMatch(/^Virtual disk: /);
    expect(drive.identityKey).toMatch(/^virtual:[0-9a-f]{4}:/);
    expect(drive.id).not.toContain(drive.kernelName);
  }
});

test('each network interface with a device is listed', async () => {
  const { controllers } = await takeInventory(createLinuxBox());
  const withDevice = namesIn('/sys/class/net').filter((name) =>
    namesIn(`/sys/class/net/${name}`).includes('device'),
  );
  const found = controllers.flatMap(({ interfaceName }) => interfaceName ?? []);
  expect([...found].sort()).toEqual([...withDevice].sort());
});

test('each empty group has a sentence, and no other group has one', async () => {
  const { drives, sensorChips, controllers, emptyWhy } = await takeInventory(createLinuxBox());
  const isEmpty: Readonly<Record<string, boolean>> = {
    drives: drives.length === 0,
    'sensor-chips': sensorChips.length === 0,
    'network-cards': !controllers.some(({ kind }) => kind === 'network-card'),
    'disk-controllers': !controllers.some(({ kind }) => kind === 'disk-controller'),
  };
  for (const [group, empty] of Object.entries(isEmpty)) {
    expect(group in emptyWhy, group).toBe(empty);
  }
  for (const sentence of Object.values(emptyWhy)) {
    expect(sentence.length).toBeGreaterThan(20);
  }
});

/** Device number of what is mounted at "/", when that is a whole disk or a partition of one. */
function rootDiskNumber(): string | null {
  const lines = readFileSync('/proc/self/mountinfo', 'utf8').split('\n');
  const number = lines.map((line) => line.split(' ')).findLast((fields) => fields[4] === '/')?.[2];
  const isBlock = number !== undefined && existsSync(`/sys/dev/block/${number}`);
  return isBlock && wholeDisk.test(realpathSync(`/sys/dev/block/${number}`).split('/').at(-1) ?? '')
    ? number
    : null;
}

// Left out where the root is no disk of its own, such as in a container or on a network root.
test.skipIf(rootDiskNumber() === null)(
  'the disk under the root of this system is in use',
  async () => {
    const box = createLinuxBox();
    const { drives } = await takeInventory(box);
    const root = drives.find(({ deviceNumber }) => deviceNumber === rootDiskNumber());
    expect(root).toBeDefined();
    const reasons = root === undefined ? [] : await driveInUse(box, root);
    expect(reasons).toContain('It is the system drive: the running system lies on it');
    expect(reasons).toContain('The drive is mounted at /');
  },
);

test('every reading of links, network and sensors is a number or says why it is none', async () => {
  const box = createLinuxBox();
  const inventory = await takeInventory(box);
  const parts = [
    ...(await readLinks(box, inventory)),
    ...(await readNetwork(box, inventory)),
    ...(await readSensors(box, inventory)),
  ];
  for (const reading of parts.flatMap(({ readings }) => readings)) {
    if (reading.state === 'measured') expect(Number.isFinite(reading.value)).toBe(true);
    else expect(reading.why?.length ?? 0, reading.metric).toBeGreaterThan(10);
  }
});
