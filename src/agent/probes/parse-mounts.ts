/** One line of mountinfo, as far as it tells what is mounted from where. */
export interface MountEntry {
  /** "major:minor"; file systems over several disks have an anonymous one, "0:number". */
  readonly deviceNumber: string;
  readonly mountPoint: string;
  readonly fileSystem: string;
  /** A device path, or whatever the file system calls its source. */
  readonly source: string;
}

/**
 * Lines of /proc/PID/mountinfo: id, parent, major:minor, root, mount point, options, optional
 * fields, "-", type, source, options. Source: Linux Documentation/filesystems/proc.rst.
 */
export function parseMounts(text: string): readonly MountEntry[] {
  return text.split('\n').flatMap((line) => {
    const fields = line.split(' ');
    const dash = fields.indexOf('-', 6);
    const [deviceNumber, mountPoint] = [fields[2], fields[4]];
    const [fileSystem, source] = [fields[dash + 1], fields[dash + 2]];
    if (dash < 0 || !deviceNumber || !mountPoint || !fileSystem || !source) return [];
    return [{ deviceNumber, mountPoint: plain(mountPoint), fileSystem, source: plain(source) }];
  });
}

/** Paths of /proc/swaps: a heading, then a path first on each line. */
export function parseSwaps(text: string): readonly string[] {
  const lines = text.split('\n').slice(1);
  return lines.flatMap((line) => line.split(/\s+/)[0] || []).map(plain);
}

/** Spaces and the like stand as a backslash and three octal digits. */
function plain(text: string): string {
  return text.replaceAll(/\\([0-7]{3})/g, (_, digits: string) =>
    String.fromCharCode(Number.parseInt(digits, 8)),
  );
}
