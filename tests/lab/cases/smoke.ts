import type { LabCase } from '../case.js';
import { makeDriveState } from '../programmable-drive/drive-state.js';
import { DriveTarget } from '../programmable-drive/target.js';
import { createRawFile } from '../raw-file.js';

const loadBoth = `
import koffi from 'koffi';
import Database from 'better-sqlite3';
const getpid = koffi.load(null).func('getpid', 'int', []);
const sum = new Database(':memory:').prepare('select 40 + 2 as sum').get().sum;
console.log(JSON.stringify({ pid: getpid() === process.pid, sum }));
`;

/** The machine itself: does it come up with its drives, and do the product's own addons load? */
export const smoke: LabCase = {
  name: 'smoke',
  isQuick: true,
  run: async (lab) => {
    const target = new DriveTarget();
    const drive = makeDriveState({ serial: 'TVLAB0001', worldWideName: 0x5001_2345_6789_abcdn });
    target.add(drive);
    await target.listen();
    const machine = await lab.boot([
      {
        kind: 'ahci',
        serial: 'LARK0001',
        model: 'Larkspur LS-64',
        firmware: 'LK01',
        worldWideName: '5000c50012345678',
        rotationRpm: 7200,
        backend: { file: createRawFile(lab.folder, 'one.img', 64) },
      },
      {
        kind: 'nvme',
        serial: 'QUIL0001',
        backend: { file: createRawFile(lab.folder, 'two.img', 64) },
      },
      { kind: 'programmable', drive, target },
    ]);
    const loaded = await machine.must(
      ['/bin/sh', '-c', 'cd /opt/bayward && node --input-type=module'],
      {
        input: loadBoth,
      },
    );
    lab.checks.equal('addons load in the machine', JSON.parse(loaded), { pid: true, sum: 42 });
    const disks = await machine.must(['/bin/sh', '-c', 'ls /sys/block | grep -v -e loop']);
    lab.checks.equal('three drives appear', disks.trim().split('\n').length, 3);
    await target.close();
  },
};
