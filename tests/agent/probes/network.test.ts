import { expect, test } from 'vitest';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { readNetwork } from '../../../src/agent/probes/network.js';
import type { Reading } from '../../../src/checks/reading.js';
import { boxOfTree, type FileSource, treeOf } from '../../box/kernel-tree.js';

/** Files as in Linux ABI/testing/sysfs-class-net and sysfs-class-net-statistics. */

type Entries = Readonly<Record<string, FileSource>>;

const device = '/sys/devices/pci0000:00/0000:00:1c.0/0000:03:00.0';

function card(files: Entries, vendor = '0x8086'): Entries {
  const folder = `${device}/net/enp3s0`;
  return {
    '/sys/bus/pci/devices/0000:03:00.0 ->': device,
    [`${device}/class`]: '0x020000',
    [`${device}/vendor`]: vendor,
    [`${device}/device`]: '0x1528',
    '/sys/class/net/enp3s0 ->': folder,
    [`${folder}/device ->`]: device,
    [`${folder}/address`]: '02:5a:10:9e:41:07',
    ...Object.fromEntries(
      Object.entries(files).map(([name, value]) => [`${folder}/${name}`, value]),
    ),
    // Bridges, loopback and other made-up interfaces have no device behind them.
    '/sys/class/net/lo/address': '00:00:00:00:00:00',
    '/sys/class/net/br0/address': '02:5a:10:9e:41:07',
  };
}

const up: Entries = {
  speed: '10000',
  duplex: 'full',
  carrier: '1',
  operstate: 'up',
  carrier_changes: '3',
  'statistics/rx_errors': '17',
  'statistics/rx_crc_errors': '12',
};

async function readingsOf(entries: Entries): Promise<Readonly<Record<string, Reading>>> {
  const box = boxOfTree(treeOf(entries));
  const parts = await readNetwork(box, await takeInventory(box));
  expect(parts.length).toBe(1);
  return Object.fromEntries((parts[0]?.readings ?? []).map((one) => [one.metric, one]));
}

test('a card that is up gives its rate in use and its counters', async () => {
  const readings = await readingsOf(card(up));
  expect(readings['network-rate']).toMatchObject({ value: 10_000_000_000, state: 'measured' });
  expect(readings['network-receive-errors']?.value).toBe(17);
  expect(readings['network-checksum-errors']?.value).toBe(12);
  expect(readings['network-carrier-changes']?.value).toBe(3);
});

test('the rated speed is not in the kernel’s files, and that is said', async () => {
  const readings = await readingsOf(card(up));
  expect(readings['network-rate-possible']).toMatchObject({ state: 'no-figure', value: null });
  expect(readings['network-rate-possible']?.why).toMatch(/model file/);
});

test('half duplex is said beside the rate', async () => {
  const readings = await readingsOf(card({ ...up, duplex: 'half', speed: '100' }));
  expect(readings['network-rate']).toMatchObject({
    value: 100_000_000,
    text: 'half duplex: one direction at a time',
  });
});

test('without a link there is no rate, whatever the file still says', async () => {
  for (const speed of ['-1', '10000', '4294967295'] as const) {
    const readings = await readingsOf(card({ ...up, speed, carrier: '0', operstate: 'down' }));
    expect(readings['network-rate']).toMatchObject({
      state: 'no-figure',
      why: 'No link: no cable, or the other end is off',
    });
  }
});

test('an up link whose driver tells no rate has none, as -1 or as its 32 bits', async () => {
  for (const speed of ['-1', '4294967295'] as const) {
    const readings = await readingsOf(card({ ...up, speed }));
    expect(readings['network-rate']).toMatchObject({
      state: 'no-figure',
      why: 'The link is up, but the driver tells no rate',
    });
  }
});

test('an interface that is switched off cannot be read and says so', async () => {
  const fails = { fails: 'refused' } as const;
  const off = { ...up, speed: fails, carrier: fails, duplex: fails, operstate: 'down' };
  const readings = await readingsOf(card(off));
  expect(readings['network-rate']?.why).toBe('The interface is switched off in the system');
  expect(readings['network-receive-errors']?.value).toBe(17);
});

test('a virtual card tells no rate and is named as virtual', async () => {
  const entries = card({ ...up, speed: '-1' }, '0x1af4');
  const { controllers } = await takeInventory(boxOfTree(treeOf(entries)));
  expect(controllers).toMatchObject([
    { label: 'Virtual network card, no driver bound', virtual: true },
  ]);
  expect((await readingsOf(entries))['network-rate']?.why).toMatch(/^Virtual network card: /);
});

test('a card without an interface says that no driver runs it', async () => {
  const readings = await readingsOf({
    '/sys/bus/pci/devices/0000:03:00.0 ->': device,
    [`${device}/class`]: '0x020000',
  });
  for (const reading of Object.values(readings)) expect(reading.state).toBe('no-figure');
  expect(readings['network-rate']?.why).toBe(
    'The card has no network interface: no driver runs it',
  );
});

test('two plugs on one PCI function are two cards', async () => {
  const second = `${device}/net/enp3s0d1`;
  const { controllers } = await takeInventory(
    boxOfTree(
      treeOf({
        ...card({ ...up, dev_port: '0' }),
        '/sys/class/net/enp3s0d1 ->': second,
        [`${second}/device ->`]: device,
        [`${second}/address`]: '02:5a:10:9e:41:08',
        [`${second}/dev_port`]: '1',
      }),
    ),
  );
  expect(controllers.map(({ id }) => id)).toEqual([
    'network-card-03-00-0-plug-1',
    'network-card-03-00-0-plug-2',
  ]);
  expect(new Set(controllers.map(({ identityKey }) => identityKey)).size).toBe(2);
});
