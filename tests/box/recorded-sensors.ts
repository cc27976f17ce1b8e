import { below, type Entries, pciCard, pciFolder, type RecordedSubject } from './recorded-trees.js';

function edac(files: Entries): Entries {
  return {
    '/sys/block/': '',
    ...below('/sys/devices/system/edac/mc/mc0', { mc_name: 'Tolvane-MC', ...files }),
  };
}

export const memoryErrors: RecordedSubject = {
  reader: 'readMemory',
  source: 'Linux 6.1 Documentation/ABI/testing/sysfs-devices-edac',
  good: {
    tree: edac({
      seconds_since_reset: '86400',
      ce_noinfo_count: '2',
      ue_noinfo_count: '0',
      'dimm0/dimm_label': 'DIMM_A1',
      'dimm0/size': '8192',
      'dimm0/dimm_ce_count': '41',
      'dimm0/dimm_ue_count': '1',
    }),
    rows: [
      ['memory-errors-corrected-since-load', 2],
      ['memory-errors-uncorrectable-since-load', 0],
      ['memory-counting-time', 86_400],
      ['memory-errors-corrected-since-load', 41],
      ['memory-errors-uncorrectable-since-load', 1],
      ['memory-counting-time', 86_400],
    ],
  },
  absent: { tree: { '/sys/block/': '', '/sys/devices/system/edac/mc/': '' }, rows: [] },
  absurd: {
    tree: edac({
      seconds_since_reset: '-5',
      ce_noinfo_count: '18446744073709551615',
      ue_noinfo_count: 'none',
      'dimm0/dimm_label': '',
      'dimm0/dimm_ce_count': '-41',
      'dimm0/dimm_ue_count': '1.5',
    }),
    rows: [],
  },
};

function chip(files: Entries): Entries {
  const folder = '/sys/devices/platform/nct6775.656/hwmon/hwmon2';
  return {
    '/sys/block/': '',
    '/sys/class/hwmon/hwmon2 ->': folder,
    ...below(folder, { name: 'nct6775', ...files }),
  };
}

export const sensors: RecordedSubject = {
  reader: 'readSensors',
  source: 'Linux 6.1 Documentation/hwmon/sysfs-interface.rst',
  good: {
    tree: chip({
      temp1_input: '31500',
      temp1_label: 'SYSTIN',
      temp1_max: '80000',
      fan1_input: '1180',
      power1_input: '23500000',
    }),
    rows: [
      ['temperature SYSTIN', 31.5],
      ['temperature-limit SYSTIN', 80],
      ['fan-speed fan 1', 1180],
      ['power-draw power 1', 23.5],
    ],
  },
  absent: { tree: chip({}), rows: [] },
  absurd: {
    tree: chip({
      temp1_input: '-61000',
      temp2_input: '127500',
      temp3_input: 'warm',
      temp4_input: '4294967295',
      temp5_input: '24000',
      temp5_fault: '1',
      temp6_input: '41000',
      temp6_max: '-80000',
      temp6_crit: '127000',
      fan1_input: '-5',
      fan2_input: '0',
      fan3_input: '1350000',
      power1_input: '-1',
    }),
    rows: [
      ['temperature temperature 1', 'no-figure'],
      ['temperature temperature 2', 'no-figure'],
      ['temperature temperature 3', 'no-figure'],
      ['temperature temperature 4', 'no-figure'],
      ['temperature temperature 5', 'no-figure'],
      ['temperature temperature 6', 41],
      ['fan-speed fan 1', 'no-figure'],
      ['fan-speed fan 2', 0],
      ['fan-speed fan 3', 'no-figure'],
      ['power-draw power 1', 'no-figure'],
    ],
  },
};

function network(files: Entries): Entries {
  const folder = `${pciFolder}/net/enp3s0`;
  return {
    ...pciCard('0x020000', {}),
    '/sys/class/net/enp3s0 ->': folder,
    ...below(folder, { 'device ->': pciFolder, address: '02:5a:10:9e:41:07', ...files }),
  };
}

const noNetwork = [
  ['network-rate', 'no-figure'],
  ['network-rate-possible', 'no-figure'],
  ['network-receive-errors', 'no-figure'],
  ['network-checksum-errors', 'no-figure'],
  ['network-carrier-changes', 'no-figure'],
] as const;

export const networkCards: RecordedSubject = {
  reader: 'readNetwork',
  source: 'Linux 6.1 Documentation/ABI/testing/sysfs-class-net and sysfs-class-net-statistics',
  good: {
    tree: network({
      speed: '10000',
      duplex: 'full',
      carrier: '1',
      operstate: 'up',
      carrier_changes: '3',
      'statistics/rx_errors': '17',
      'statistics/rx_crc_errors': '12',
    }),
    rows: [
      ['network-rate', 10e9],
      ['network-rate-possible', 'no-figure'],
      ['network-receive-errors', 17],
      ['network-checksum-errors', 12],
      ['network-carrier-changes', 3],
    ],
  },
  absent: { tree: network({}), rows: noNetwork },
  absurd: {
    tree: network({
      speed: '4294967295',
      duplex: 'sideways',
      carrier: '1',
      operstate: 'up',
      carrier_changes: '-3',
      'statistics/rx_errors': '1e9',
      'statistics/rx_crc_errors': '',
    }),
    rows: noNetwork,
  },
};
