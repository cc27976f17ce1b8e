import type { LabCase } from '../case.js';
import { DriveTarget } from '../programmable-drive/target.js';
import { createRawFile } from '../raw-file.js';
import { larkspur, nvmeDrive, quillon, tolvane } from './lab-drives.js';
import { readAhci, readNvme } from './readings-emulated.js';
import { readGrowing, readLostRegisters } from './readings-programmable.js';
import { readScan } from './readings-scan.js';

/** Nothing here may count as shown by this machine. */
const notPassedThrough = [
  ['SATA link speeds', 'qemu 7.2 trains every SATA link to 1.5 Gb/s (hw/ide/ahci.c)'],
  ['lanes of a card', 'qemu 7.2 gives its NVMe drive one lane at 2.5 GT/s, whatever the slot'],
  ['self-test of an NVMe drive', 'qemu 7.2 does not know the command (hw/nvme/ctrl.c)'],
  ['fans and board sensors', 'the emulated board has no sensor chip'],
] as const;

/** Every kind of drive read through the kernel, against what this machine emulates. */
export const readings: LabCase = {
  name: 'readings',
  isQuick: false,
  run: async (lab) => {
    const clock = { ms: 0 };
    const growing = tolvane(1, { nowMs: () => clock.ms });
    const bridged = tolvane(2, { registersIn: 'descriptor' });
    const target = new DriveTarget();
    target.add(growing);
    target.add(bridged);
    await target.listen();
    try {
      const machine = await lab.boot([
        larkspur({ file: createRawFile(lab.folder, 'one.img', 64) }),
        quillon({ file: createRawFile(lab.folder, 'two.img', 48) }),
        nvmeDrive({ file: createRawFile(lab.folder, 'three.img', 64) }, 0b100),
        { kind: 'programmable', drive: growing, target },
        { kind: 'programmable', drive: bridged, target },
      ]);
      const so = { checks: lab.checks, machine };
      await readScan(so);
      await readAhci(so);
      await readNvme(so);
      await readGrowing({ ...so, drive: growing, clock });
      await readLostRegisters({ ...so, drive: bridged });
      for (const [name, why] of notPassedThrough) lab.checks.remark(name, why);
    } finally {
      await target.close();
    }
  },
};
