import { expect, test } from 'vitest';
import { takeInventory } from '../../../src/agent/probes/inventory.js';
import { parsePciErrors } from '../../../src/agent/probes/parse-pci-errors.js';
import { readPciErrors } from '../../../src/agent/probes/pci-errors.js';
import { boxOfTree, treeOf } from '../../box/kernel-tree.js';

/** As Linux 6.1 drivers/pci/pcie/aer.c prints it, names of aer_correctable_error_string. */
const short = `RxErr 14
BadTLP 2
BadDLLP 0
Rollover 0
Timeout 1
NonFatalErr 0
CorrIntErr 0
HeaderOF 0
TOTAL_ERR_COR 17
`;

/** As in Documentation/ABI/testing/sysfs-bus-pci-devices-aer_stats. */
const long = `Receiver Error 2
Bad TLP 0
Bad DLLP 0
RELAY_NUM Rollover 0
Replay Timer Timeout 0
Advisory Non-Fatal 0
Corrected Internal Error 0
Header Log Overflow 0
TOTAL_ERR_COR 2
`;

const fatal = 'Undefined 0\nDLP 0\nSDES 1\nTLP 0\nTOTAL_ERR_FATAL 1\n';

test('short and long names are the same errors', () => {
  expect(parsePciErrors(short)?.total).toBe(17);
  expect(parsePciErrors(short)?.byName.filter(({ count }) => count > 0)).toEqual([
    { name: 'receiver error', count: 14 },
    { name: 'bad packet', count: 2 },
    { name: 'no acknowledgement in time', count: 1 },
  ]);
  const names = (text: string) => parsePciErrors(text)?.byName.map(({ name }) => name);
  expect(names(long)).toEqual(names(short));
});

test.each([
  null,
  '',
  'RxErr 14\nBadTLP 2\n',
  'RxErr\nTOTAL_ERR_COR 17',
  'RxErr 14\nBadTLP -2\nTOTAL_ERR_COR 17',
])('a text that is cut or odd (%j) is no count', (text) => {
  expect(parsePciErrors(text)).toBe(null);
});

const port = '/sys/devices/pci0000:00/0000:00:1c.0';
const tree = {
  '/sys/block/': '',
  '/sys/bus/pci/devices/0000:00:1c.0 ->': port,
  [`${port}/class`]: '0x060400',
  [`${port}/aer_dev_correctable`]: long,
  '/sys/bus/pci/devices/0000:03:00.0 ->': `${port}/0000:03:00.0`,
  [`${port}/0000:03:00.0/class`]: '0x010700',
  [`${port}/0000:03:00.0/vendor`]: '0x1000',
  [`${port}/0000:03:00.0/device`]: '0x0097',
  [`${port}/0000:03:00.0/aer_dev_correctable`]: short,
  [`${port}/0000:03:00.0/aer_dev_fatal`]: fatal,
};

test('a card tells its own errors and those that the port above noticed', async () => {
  const box = boxOfTree(treeOf(tree));
  const [card] = await readPciErrors(box, await takeInventory(box));
  expect(card?.identityKey).toBe('pci:1000:0097:0000:03:00.0');
  expect(card?.readings.map(({ metric, place, value }) => [metric, place, value])).toEqual([
    ['pci-errors-corrected', undefined, 17],
    ['pci-errors-corrected', 'receiver error', 14],
    ['pci-errors-corrected', 'bad packet', 2],
    ['pci-errors-corrected', 'no acknowledgement in time', 1],
    ['pci-errors-corrected', 'port above', 2],
    ['pci-errors-corrected', 'port above: receiver error', 2],
    ['pci-errors-not-fatal', undefined, null],
    ['pci-errors-fatal', undefined, 1],
    ['pci-errors-fatal', 'link went down by surprise', 1],
  ]);
});
