import type { Checks } from '../checks.js';
import type { Machine } from '../machine/machine.js';
import { captureAndDecode, readingOf, valuesOf } from './product-answers.js';

interface Reader {
  readonly checks: Checks;
  readonly machine: Machine;
}

/**
 * Starts a short self-test through the product's own way to drives: no command of the product
 * starts one outside the agent.
 */
const startSelfTest = `
import { thisBox } from '/opt/bayward/dist/src/agent/this-box.js';
import { takeInventory } from '/opt/bayward/dist/src/agent/probes/inventory.js';
import { smartSelfTest } from '/opt/bayward/dist/src/agent/box/layouts/commands-ata.js';
const { box } = thisBox();
const drive = (await takeInventory(box)).drives.find((one) => one.serial === 'LARK0001');
console.log(JSON.stringify((await box.ata(drive, smartSelfTest('short'))).ok));
`;

/**
 * What qemu 7.2's ide-hd answers (its hw/ide/core.c, cmd_smart): hours 1, start-stops 100,
 * temperature 31, all attributes above their thresholds, a self-test done at once at hour 4660.
 */
export async function readAhci({ checks, machine }: Reader): Promise<void> {
  const first = await captureAndDecode(machine, 'LARK0001');
  checks.equal('AHCI identity', first.identity, {
    model: 'Larkspur LS-64',
    serial: 'LARK0001',
    firmware: 'LK01',
    worldWideName: '5000c50012345678',
    capacityBytes: 67_108_864,
    logicalBlockBytes: 512,
    physicalBlockBytes: 4096,
    rotationRpm: 7200,
    rotating: true,
  });
  const counters = {
    'power-on-hours': 1,
    'start-stops': 100,
    'power-cycles': 0,
    'reallocated-sectors': 0,
    'pending-sectors': null,
    'interface-crc-errors': null,
  };
  checks.equal('AHCI counters', valuesOf(first, Object.keys(counters)), counters);
  checks.equal('AHCI temperature', readingOf(first, 'temperature').value, 31);
  checks.equal('AHCI says that it is not failing', verdictOf(first), [0, 'SMART status registers']);
  checks.equal('AHCI power mode', readingOf(first, 'power-mode').value, 255);
  checks.equal('AHCI self-test never run', valuesOf(first, selfTestMetrics), {
    'self-test-result': null,
    'self-test-running': null,
  });
  const started = await machine.must(['/usr/bin/node', '--input-type=module'], {
    input: startSelfTest,
  });
  checks.equal('AHCI self-test is accepted', started.trim(), 'true');
  const after = await captureAndDecode(machine, 'LARK0001');
  checks.equal('AHCI self-test done', valuesOf(after, selfTestMetrics), {
    'self-test-result': 0,
    'self-test-running': null,
  });
  const second = await captureAndDecode(machine, 'QLLN0002');
  checks.equal('second AHCI disk is another', pick(second.identity), [
    'Quillon Burner 48',
    'QLLN0002',
    'QB02',
    '5000c500aabbccdd',
    50_331_648,
    5400,
  ]);
}

const selfTestMetrics = ['self-test-result', 'self-test-running'];

function verdictOf(decoded: Awaited<ReturnType<typeof captureAndDecode>>): unknown[] {
  const { value, source } = readingOf(decoded, 'drive-verdict');
  return [value, source];
}

function pick(identity: Readonly<Record<string, unknown>>): unknown[] {
  const keys = ['model', 'serial', 'firmware', 'worldWideName', 'capacityBytes', 'rotationRpm'];
  return keys.map((key) => identity[key]);
}

/**
 * What qemu 7.2's nvme answers (its hw/nvme/ctrl.c, nvme_smart_info and nvme_get_feature): 323 K,
 * limits 343 K and 373 K, no spare and no threshold of it, warns from 343 K, no self-tests; the
 * critical warning as set here: bit 2.
 */
export async function readNvme({ checks, machine }: Reader): Promise<void> {
  const decoded = await captureAndDecode(machine, 'NVME0003');
  const { model, serial, capacityBytes, logicalBlockBytes } = decoded.identity;
  checks.equal(
    'NVMe identity',
    [model, serial, capacityBytes, logicalBlockBytes],
    ['QEMU NVMe Ctrl', 'NVME0003', 67_108_864, 512],
  );
  checks.equal('NVMe temperature', readingOf(decoded, 'temperature').value, 50);
  checks.equal('NVMe temperature limit', readingOf(decoded, 'temperature-limit').value, 70);
  const counters = {
    'power-on-hours': 0,
    'power-cycles': 0,
    'unsafe-shutdowns': 0,
    'media-and-data-errors': 0,
    'endurance-used': 0,
    'bytes-written': 0,
    'critical-warning': 4,
    'drive-verdict': 1,
  };
  checks.equal('NVMe counters and warning', valuesOf(decoded, Object.keys(counters)), counters);
  const set = (place: string) =>
    decoded.readings.find((one) => one.metric === 'temperature-limit' && one.place === place);
  checks.equal(
    'NVMe thresholds by Get Features, of which the lower one is not set',
    [set('set to warn above'), set('set to warn below')].map((one) => [one?.value, one?.source]),
    [
      [70, 'Get Features 04h, above'],
      [null, 'Get Features 04h, below'],
    ],
  );
  checks.equal('NVMe has no self-tests', readingOf(decoded, 'self-test-running').value, null);
  const chips = await machine.must(['/bin/sh', '-c', 'cat /sys/class/hwmon/*/temp1_input']);
  checks.equal('NVMe temperature agrees with the kernel’s own', chips.trim(), '49850');
}
