import type { BoxSeen, ControllerSeen } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { textOrNull } from './read-kernel.js';

/** The box itself as a part: what runs on it, by version, so that a change can be told. */
export async function seeBox(box: Box, controllers: readonly ControllerSeen[]): Promise<BoxSeen> {
  const file = (path: string) => textOrNull(box, path);
  const rows: readonly (readonly [string, string | null])[] = [
    ['kernel', await file('/proc/sys/kernel/osrelease')],
    ['board firmware', boardFirmware(await dmi(box, 'bios_version'), await dmi(box, 'bios_date'))],
    ['processor microcode', microcodeOf(await file('/proc/cpuinfo'))],
    ...(await driverVersions(box, controllers)),
  ];
  const known = rows.filter(([, version]) => version !== null && version !== '');
  return {
    kind: 'box',
    id: 'box',
    identityKey: 'box',
    label: 'The box itself',
    versions: Object.fromEntries(known.map(([name, version]) => [name, version ?? ''])),
  };
}

function dmi(box: Box, name: string): Promise<string | null> {
  return textOrNull(box, `/sys/class/dmi/id/${name}`);
}

function boardFirmware(version: string | null, date: string | null): string | null {
  if (version === null || version === '') return null;
  return date === null || date === '' ? version : `${version} of ${date}`;
}

/** Only on x86; the first processor speaks for all. */
export function microcodeOf(text: string | null): string | null {
  return /^microcode\s*: (0x[0-9a-f]+)$/m.exec(text ?? '')?.[1] ?? null;
}

/** Drivers that come with the kernel carry no version of their own: the kernel's is theirs. */
async function driverVersions(
  box: Box,
  controllers: readonly ControllerSeen[],
): Promise<readonly (readonly [string, string | null])[]> {
  const names = [...new Set(controllers.flatMap(({ driver }) => driver ?? []))].sort();
  const rows: (readonly [string, string | null])[] = [];
  for (const name of names) {
    const version = await textOrNull(box, `/sys/module/${name.replaceAll('-', '_')}/version`);
    rows.push([`driver ${name}`, version]);
  }
  return rows;
}
