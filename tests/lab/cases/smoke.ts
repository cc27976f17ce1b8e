import type { LabCase } from '../case.js';
import { DriveTarget } from '../programmable-drive/target.js';
import { createRawFile } from '../raw-file.js';
import { larkspur, nvmeDrive, tolvane } from './lab-drives.js';
import { captureAndDecode, readingOf } from './product-answers.js';

const loadBoth = `
import koffi from 'koffi';
import Database from 'better-sqlite3';
const getpid = koffi.load(null).func('getpid', 'int', []);
const sum = new Database(':memory:').prepare('select 40 + 2 as sum').get().sum;
console.log(JSON.stringify({ pid: getpid() === process.pid, sum }));
`;

/** As qemu 7.2 answers for its own disks (hw/ide/core.c, hw/nvme/ctrl.c), and as ours is made. */
const temperatures = [
  ['LARK0001', 31],
  ['NVME0003', 50],
  ['TVLAB0001', 41],
] as const;

/** The machine itself: does it come up with its drives, and do the product's own addons load? */
export const smoke: LabCase = {
  name: 'smoke',
  isQuick: true,
  run: async (lab) => {
    const drive = tolvane(1);
    const target = new DriveTarget();
    target.add(drive);
    await target.listen();
    const machine = await lab.boot([
      larkspur({ file: createRawFile(lab.folder, 'one.img', 64) }),
      nvmeDrive({ file: createRawFile(lab.folder, 'two.img', 64) }, 0),
      { kind: 'programmable', drive, target },
    ]);
    const loaded = await machine.must(
      ['/bin/sh', '-c', 'cd /opt/bayward && node --input-type=module'],
      {
        input: loadBoth,
      },
    );
    lab.checks.equal('addons load in the machine', JSON.parse(loaded), { pid: true, sum: 42 });
    for (const [serial, celsius] of temperatures) {
      const decoded = await captureAndDecode(machine, serial);
      lab.checks.equal(`identity of ${serial}`, decoded.identity.serial, serial);
      lab.checks.equal(
        `temperature of ${serial}`,
        readingOf(decoded, 'temperature').value,
        celsius,
      );
    }
    await target.close();
  },
};
