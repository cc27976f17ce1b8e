import { answered, type Box, type DriveAddress, missing } from '../../src/agent/box/box.js';

export interface Overlay {
  /** Text of kernel files by path, in place of what the box has there; null: it cannot be read. */
  readonly texts: Map<string, (() => string) | null>;
  /** Folders that are to look empty. */
  readonly emptyFolders?: ReadonlySet<string>;
  /** Told of each command before it goes to the drive; may give another drive's address. */
  readonly onCommand?: (drive: DriveAddress, command: string) => DriveAddress | undefined;
}

/** A box of which some kernel files, or the way of some commands, are other than they are. */
export function overlaidBox(box: Box, { texts, emptyFolders, onCommand }: Overlay): Box {
  const ways = (drive: DriveAddress, name: string) => onCommand?.(drive, name) ?? drive;
  return {
    kernelText: async (path) => {
      const text = texts.get(path);
      if (text === null) return missing('not-permitted', `${path} may not be read`);
      return text === undefined ? box.kernelText(path) : answered(text());
    },
    kernelBytes: (path) => box.kernelBytes(path),
    kernelFolder: async (path) =>
      emptyFolders?.has(path) === true ? answered([]) : box.kernelFolder(path),
    kernelRealPath: (path) => box.kernelRealPath(path),
    ata: (drive, command) => box.ata(ways(drive, command.name), command),
    scsi: (drive, command) => box.scsi(ways(drive, command.name), command),
    nvme: (drive, command) => box.nvme(ways(drive, command.name), command),
    openBlocks: (drive, options) => box.openBlocks(drive, options),
    machine: () => box.machine(),
  };
}
