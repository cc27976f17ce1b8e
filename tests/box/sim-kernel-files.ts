import { KernelTree } from './kernel-tree.js';
import { addArrays } from './sim-kernel-arrays.js';
import { addAhciPorts, addDisk } from './sim-kernel-disks.js';
import { type KernelView, pciPath } from './sim-kernel-view.js';
import type { SimChip, SimNetwork, SimPci } from './sim-plan.js';

/**
 * /sys and /proc of a simulated box, as far as an agent reads them. File names and forms follow
 * Linux 6.1: ABI/testing/sysfs-class-net, sysfs-bus-pci, sysfs-ata, sysfs-block, hwmon
 * sysfs-interface.rst. The tree holds for one boot and one set of plugged parts; what changes
 * meanwhile is read through functions.
 */
export function makeKernelFiles(view: KernelView): KernelTree {
  const tree = new KernelTree();
  for (const folder of [
    '/sys/block',
    '/sys/class/net',
    '/sys/class/hwmon',
    '/sys/bus/pci/devices',
  ]) {
    tree.folder(folder);
  }
  addProc(tree, view);
  addArrays(tree, view);
  for (const one of view.pci) addPci(tree, view, one);
  for (const host of view.hosts) addAhciPorts(tree, view, host);
  view.networks.forEach((network, index) => {
    addNetwork(tree, view, { network, name: `eth${index}` });
  });
  let hwmon = view.firstHwmon;
  for (const chip of view.chips) {
    addChip(tree, view, { chip, number: hwmon });
    hwmon += 1;
  }
  for (const [seat, names] of view.seats) {
    addDisk(tree, view, { seat, names, hwmon });
    hwmon += 1;
  }
  return tree;
}

function addProc(tree: KernelTree, view: KernelView): void {
  const { machine, clock } = view;
  tree.file('/proc/sys/kernel/hostname', machine.hostName);
  tree.file('/proc/sys/kernel/random/boot_id', () => clock.bootId);
  tree.file('/proc/version', `Linux version ${machine.kernel} (invented) #1 SMP`);
  tree.file('/proc/meminfo', `MemTotal:       ${Math.floor(machine.memoryBytes / 1024)} kB`);
  tree.file('/proc/cpuinfo', `model name\t: ${machine.processor ?? ''}\nflags\t\t: fpu lm`);
  tree.file('/proc/self/mountinfo', () => mountsOf(view));
  tree.file('/proc/1/mountinfo', () => mountsOf(view));
  tree.file('/proc/swaps', () => swapsOf(view));
}

function mountsOf({ seats }: KernelView): string {
  const lines = ['21 26 0:20 / /proc rw,relatime - proc proc rw'];
  let number = 30;
  for (const [{ use }, { kernelName, deviceNumber }] of seats) {
    const places = [use.systemDrive ? '/' : null, use.mountedAt].filter((one) => one !== null);
    for (const place of places) {
      number += 1;
      lines.push(`${number} 1 ${deviceNumber} / ${place} rw - ext4 /dev/${kernelName} rw`);
    }
  }
  return lines.join('\n');
}

function swapsOf({ seats }: KernelView): string {
  const lines = ['Filename\t\t\t\tType\t\tSize\t\tUsed\t\tPriority'];
  for (const [{ use }, { kernelName }] of seats) {
    if (use.swap) lines.push(`/dev/${kernelName}\tpartition\t1048572\t\t0\t\t-2`);
  }
  return lines.join('\n');
}

function addPci(tree: KernelTree, view: KernelView, one: SimPci): void {
  const path = pciPath(view, one.address);
  tree.link(`/sys/bus/pci/devices/${one.address}`, path);
  tree.files(path, {
    class: `0x${one.pciClass}`,
    vendor: `0x${one.vendor}`,
    device: `0x${one.device}`,
    ...(one.boardLabel === undefined ? {} : { label: one.boardLabel }),
  });
  if (one.driver !== null) {
    tree.folder(`/sys/bus/pci/drivers/${one.driver}`);
    tree.link(`${path}/driver`, `/sys/bus/pci/drivers/${one.driver}`);
  }
  if (one.speedMax === null) return;
  tree.files(path, {
    current_link_speed: () =>
      one.speed === null ? 'Unknown' : `${one.speed.toFixed(1)} GT/s PCIe`,
    current_link_width: () => String(one.lanes ?? 0),
    max_link_speed: `${one.speedMax.toFixed(1)} GT/s PCIe`,
    max_link_width: String(one.lanesMax ?? 255),
  });
}

function addNetwork(
  tree: KernelTree,
  view: KernelView,
  { network, name }: { network: SimNetwork; name: string },
): void {
  const device = pciPath(view, network.pci);
  const path = `${device}/net/${name}`;
  tree.link(`/sys/class/net/${name}`, path);
  tree.link(`${path}/device`, device);
  const isUp = () => network.switchedOn && network.carrier;
  tree.files(path, {
    address: network.hardwareAddress,
    dev_port: '0',
    operstate: () => (isUp() ? 'up' : 'down'),
    carrier: () => (network.switchedOn ? (network.carrier ? '1' : '0') : { fails: 'refused' }),
    speed: () => (isUp() ? String(network.megabitsPerSecond) : { fails: 'refused' }),
    duplex: () => (isUp() ? network.duplex : { fails: 'refused' }),
    carrier_changes: () => String(network.carrierChanges),
    'statistics/rx_errors': () => String(network.receiveErrors),
    'statistics/rx_crc_errors': () => String(network.checksumErrors),
  });
}

function addChip(
  tree: KernelTree,
  view: KernelView,
  { chip, number }: { chip: SimChip; number: number },
): void {
  const path = `/sys/devices/${chip.device}/hwmon/hwmon${number}`;
  tree.link(`/sys/class/hwmon/hwmon${number}`, path);
  tree.file(`${path}/name`, chip.chipName);
  const milli = (celsius: number) => String(Math.round(celsius * 1000));
  chip.temperatures.forEach((sensor, index) => {
    const base = `${path}/temp${index + 1}`;
    tree.file(`${base}_input`, () => {
      view.settle();
      return milli(sensor.celsius);
    });
    tree.file(`${base}_fault`, () => (sensor.fault ? '1' : '0'));
    if (sensor.label !== null) tree.file(`${base}_label`, sensor.label);
    if (sensor.highCelsius !== null) tree.file(`${base}_max`, milli(sensor.highCelsius));
    if (sensor.criticalCelsius !== null) tree.file(`${base}_crit`, milli(sensor.criticalCelsius));
  });
  chip.fans.forEach((fan, index) => {
    const base = `${path}/fan${index + 1}`;
    tree.file(`${base}_input`, () => String(fan.rpm));
    tree.file(`${base}_fault`, () => (fan.fault ? '1' : '0'));
    if (fan.label !== null) tree.file(`${base}_label`, fan.label);
  });
}
