import { copyFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';

/** What the machine loads; what these depend on is found in the modules themselves. */
export const wantedModules: readonly string[] = [
  'virtio_pci',
  'virtio_console',
  'virtio_scsi',
  'virtio_rng',
  'sd_mod',
  'sg',
  'ahci',
  'nvme',
  'loop',
  'xhci_pci',
  'usb_storage',
  // ext4 asks for a checksum by name at run time, which no dependency tells.
  'crc32c_generic',
  'ext4',
];

/** Copied too, but loaded by the cases that want them, with parameters of their own. */
export const offeredModules: readonly string[] = [
  'scsi_debug',
  'raid1',
  'raid456',
  'ipmi_si',
  'ipmi_devintf',
];

/**
 * Copies the wanted modules and all they depend on; writes `order`, dependencies first, and for
 * each offered module `NAME.order` with what it needs beyond those.
 */
export function copyModules(from: string, to: string): void {
  const files = moduleFiles(from);
  const order: string[] = [];
  for (const name of wantedModules) addWithDependencies(name, { files, order });
  mkdirSync(to);
  writeFileSync(join(to, 'order'), `${order.join('\n')}\n`);
  const copied = new Set(order);
  for (const name of offeredModules) {
    const whole = [...order];
    addWithDependencies(name, { files, order: whole });
    const own = whole.slice(order.length);
    for (const one of own) copied.add(one);
    writeFileSync(join(to, `${name}.order`), `${own.join('\n')}\n`);
  }
  for (const name of copied) copyFileSync(files.get(name) ?? '', join(to, `${name}.ko`));
}

function moduleFiles(folder: string): Map<string, string> {
  const files = new Map<string, string>();
  for (const entry of readdirSync(folder, { withFileTypes: true, recursive: true })) {
    if (!entry.name.endsWith('.ko')) continue;
    files.set(moduleName(entry.name), join(entry.parentPath, entry.name));
  }
  return files;
}

function moduleName(file: string): string {
  return basename(file, '.ko').replaceAll('-', '_');
}

/** A name without a file is built into the kernel: Debian's package holds every module. */
function addWithDependencies(
  name: string,
  so: { files: ReadonlyMap<string, string>; order: string[] },
): void {
  const file = so.files.get(name);
  if (file === undefined || so.order.includes(name)) return;
  for (const dependency of dependenciesOf(readFileSync(file))) addWithDependencies(dependency, so);
  if (!so.order.includes(name)) so.order.push(name);
}

/** The `depends=` text of a module's own description, whose texts end with a zero byte. */
export function dependenciesOf(module: Buffer): string[] {
  const mark = Buffer.from('\0depends=');
  const at = module.indexOf(mark);
  if (at < 0) return [];
  const from = at + mark.length;
  const text = module.toString('latin1', from, module.indexOf(0, from));
  return text.split(',').flatMap((name) => (name === '' ? [] : [name.replaceAll('-', '_')]));
}
