import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Checks } from './checks.js';
import { Machine } from './machine/machine.js';
import type { MachineDrive } from './machine/qemu-arguments.js';

/** What every case gets: where to count, a folder of its own, and how to switch a machine on. */
export interface Lab {
  readonly checks: Checks;
  readonly folder: string;
  /** `devices` are further options of qemu, for what is no drive. */
  boot(drives: readonly MachineDrive[], devices?: readonly string[]): Promise<Machine>;
}

export interface LabCase {
  readonly name: string;
  /** Belongs to the quick part, which every test run includes. */
  readonly isQuick: boolean;
  run(lab: Lab): Promise<void>;
}

export interface BootFiles {
  readonly image: string;
  readonly archive: string;
}

/** A lab for one case; machines that the case left on are switched off by `close`. */
export function openLab(
  name: string,
  options: { checks: Checks; above: string; files: BootFiles },
): Lab & { close(): Promise<void> } {
  const folder = join(options.above, name);
  mkdirSync(folder);
  const machines: Machine[] = [];
  return {
    checks: options.checks,
    folder,
    boot: async (drives, devices = []) => {
      const number = machines.length + 1;
      const machine = await Machine.start({
        ...options.files,
        name: `machine${number}`,
        folder,
        drives,
        devices,
      });
      machines.push(machine);
      return machine;
    },
    close: async () => {
      for (const machine of machines) await machine.stop();
    },
  };
}
