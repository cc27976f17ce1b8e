import type { Checks } from '../checks.js';
import type { Machine } from '../machine/machine.js';

type Row = Readonly<Record<string, unknown>>;

/** What is plugged in where, as `scan` prints it; port numbers count from 1 as on a board. */
const drivesExpected: readonly Row[] = [
  {
    serial: 'LARK0001',
    model: 'Larkspur LS-64',
    capacityBytes: 67_108_864,
    reachedBy: 'ata',
    controller: 'disk-controller-00-1f-2',
    port: 'port-1',
  },
  {
    serial: 'QLLN0002',
    model: 'Quillon Burner 48',
    capacityBytes: 50_331_648,
    reachedBy: 'ata',
    controller: 'disk-controller-00-1f-2',
    port: 'port-2',
  },
  {
    serial: 'NVME0003',
    model: 'QEMU NVMe Ctrl',
    capacityBytes: 67_108_864,
    reachedBy: 'nvme',
    controller: null,
    port: null,
  },
  {
    serial: 'TVLAB0001',
    model: 'Tolvane Archive 4000',
    capacityBytes: 67_108_864,
    reachedBy: 'ata',
  },
  {
    serial: 'TVLAB0002',
    model: 'Tolvane Archive 4000',
    capacityBytes: 67_108_864,
    reachedBy: 'ata',
  },
];

/** Scans twice: the first writes a model file, the second finds nothing that differs from it. */
export async function readScan(so: { checks: Checks; machine: Machine }): Promise<void> {
  const { checks, machine } = so;
  const rows = rowsOf(await machine.must(['/bin/bayward', 'scan', '--json']));
  for (const expected of drivesExpected) {
    const found = rows.find((row) => row.kind === 'drive' && row.serial === expected.serial) ?? {};
    const looked = Object.fromEntries(Object.keys(expected).map((key) => [key, found[key]]));
    checks.equal(`scan finds ${expected.serial}`, looked, expected);
  }
  const drives = rows.filter((row) => row.kind === 'drive');
  checks.equal('scan finds no other drive', drives.length, drivesExpected.length);
  const nvme = drives.find((row) => row.serial === 'NVME0003');
  const link = nvme?.pciLink as Row | undefined;
  checks.equal('PCI link of the NVMe drive', [link?.speedGigatransfers, link?.lanes], [2.5, 1]);
  checks.equal('scan writes a first model', rows.at(-1)?.written, true);
  const again = await machine.run(['/bin/bayward', 'scan', '--json']);
  const last = rowsOf(again.printed).at(-1);
  checks.equal('the box agrees with its model', [again.status, last?.differences], [0, 0]);
}

function rowsOf(printed: string): Row[] {
  return printed
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line) as Row);
}
