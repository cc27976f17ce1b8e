import type { Backend, MachineDrive } from '../machine/qemu-arguments.js';
import type { DriveOptions, DriveState } from '../programmable-drive/drive-state.js';
import { makeDriveState } from '../programmable-drive/drive-state.js';

/** Drives that the cases plug in; makers and models are invented. */
export function larkspur(backend: Backend): MachineDrive {
  return {
    kind: 'ahci',
    serial: 'LARK0001',
    model: 'Larkspur LS-64',
    firmware: 'LK01',
    worldWideName: '5000c50012345678',
    rotationRpm: 7200,
    backend,
  };
}

/** The second AHCI disk, the one that is burnt in. */
export function quillon(backend: Backend): MachineDrive {
  return {
    kind: 'ahci',
    serial: 'QLLN0002',
    model: 'Quillon Burner 48',
    firmware: 'QB02',
    worldWideName: '5000c500aabbccdd',
    rotationRpm: 5400,
    backend,
  };
}

/** `criticalWarning` is the byte of the same name in the health log, bits 0 to 4. */
export function nvmeDrive(backend: Backend, criticalWarning: number): MachineDrive {
  return { kind: 'nvme', serial: 'NVME0003', criticalWarning, backend };
}

/** A programmable drive; its world-wide name differs by its number. */
export function tolvane(number: number, options: Partial<DriveOptions> = {}): DriveState {
  return makeDriveState({
    serial: `TVLAB000${number}`,
    worldWideName: 0x5001_2345_6789_ab00n + BigInt(number),
    ...options,
  });
}
