import { type Box, type DriveAddress, missing } from '../../src/agent/box/box.js';
import type { SimDrive } from './sim-drive.js';

/** A box whose only device is one simulated drive, with a note of every command that it got. */
export function oneDriveBox(drive: SimDrive): { box: Box; asked: string[] } {
  const asked: string[] = [];
  const note = <T extends { readonly name: string }>(command: T): T => {
    asked.push(command.name);
    return command;
  };
  const nothing = async () => missing<never>('not-there', 'This box has no kernel files');
  const box: Box = {
    kernelText: nothing,
    kernelBytes: nothing,
    kernelFolder: nothing,
    kernelRealPath: nothing,
    ata: (_, command) => drive.ata(note(command)),
    scsi: (_, command) => drive.scsi(note(command)),
    nvme: (_, command) => drive.nvme(note(command)),
    openBlocks: async (address, options) =>
      address.deviceNumber === drive.state.deviceNumber
        ? drive.openBlocks(options)
        : missing('gone', `The device is ${drive.state.deviceNumber} now`),
    machine: async () => ({ board: null, processor: null }),
  };
  return { box, asked };
}

export function addressFor(reachedBy: DriveAddress['reachedBy']): DriveAddress {
  return { devicePath: '/dev/sda', deviceNumber: '8:0', reachedBy };
}
