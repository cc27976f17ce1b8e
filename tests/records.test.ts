import { existsSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { pagesInDirectory } from '../src/agent/probes/ata-abilities.js';
import type { RawPage } from '../src/checks/capture.js';
import { recordRows } from '../src/checks/records.js';
import { boxRecordRows } from '../src/checks/records-box.js';
import { captureOf } from './agent/probes/capture-of.js';

interface Proof {
  readonly page: Partial<Pick<RawPage, 'record' | 'log' | 'page' | 'subpage'>>;
  readonly good: string;
  readonly cut: string;
  readonly none: string;
}

const log = (number: number, names: Omit<Proof, 'page'>): Proof => ({
  page: { record: 'log', log: number },
  ...names,
});
const logSense = (number: number, names: Omit<Proof, 'page'>): Proof => ({
  page: { record: 'log-sense', log: number },
  ...names,
});
const disk = { good: 'healthy-disk', cut: 'ata-cut', none: 'ata-none' };
const sas = { good: 'sas-disk', cut: 'sas-cut', none: 'sas-none' };
const solid = { ...sas, good: 'sas-solid-state' };
const errors = { good: 'logged-errors', cut: 'logged-errors-cut', none: 'logged-errors-none' };
const set = { good: 'settings-and-timers', cut: 'settings-cut', none: 'settings-not-told' };
const links = { good: 'sas-links', cut: 'sas-links-cut', none: 'sas-links-none' };
const modes = { good: 'sas-modes', cut: 'sas-modes-cut', none: 'sas-modes-none' };
const modePage = (page: number): Proof => ({ page: { record: 'mode-sense', page }, ...modes });
const bridge = {
  good: 'bridge-identity',
  cut: 'bridge-identity-cut',
  none: 'bridge-identity-none',
};
const nvmeSet = {
  good: 'nvme-settings',
  cut: 'nvme-settings-cut',
  none: 'nvme-settings-none',
};
const traits = { good: 'ata-traits', cut: 'ata-traits-cut', none: 'ata-traits-none' };
const statistics = (page: number): Proof => ({ page: { record: 'log', log: 4, page }, ...traits });
const identifyLog = (page: number): Proof => ({
  page: { record: 'log', log: 0x30, page },
  ...traits,
});
const zoned = { good: 'sas-zoned', cut: 'sas-zoned-cut', none: 'sas-zoned-none' };
const feature = (page: number): Proof => ({ page: { record: 'nvme-feature', page }, ...nvmeSet });
const nvme = { good: 'nvme-healthy', cut: 'nvme-cut', none: 'nvme-odd-counters' };

/** For each row of the table the captures that hold one good, one cut and one empty page of it. */
const proofs: Readonly<Record<string, readonly Proof[]>> = {
  'IDENTIFY DEVICE': [
    { page: { record: 'identify-device' }, ...disk },
    { page: { record: 'identify-device' }, ...disk, none: 'settings-not-told' },
    { page: { record: 'identify-device' }, ...traits },
  ],
  'IDENTIFY DEVICE data log 30h': [log(0x30, set), ...[2, 5, 6, 9].map(identifyLog)],
  'SMART data and thresholds': [
    { page: { record: 'smart-data' }, ...disk },
    { page: { record: 'smart-data' }, ...traits },
    { page: { record: 'smart-thresholds' }, ...disk },
    {
      page: { record: 'smart-data' },
      good: 'families-agree',
      cut: 'families-cut',
      none: 'families-contradict',
    },
  ],
  'SMART RETURN STATUS': [{ page: { record: 'smart-status' }, ...disk }],
  'CHECK POWER MODE': [{ page: { record: 'power-mode' }, ...disk }],
  'Native maximum address': [{ page: { record: 'native-max' }, ...disk, good: 'hidden-area' }],
  'Summary error log 01h': [log(0x01, errors)],
  'Extended error log 03h': [log(0x03, errors)],
  'Device Statistics 04h': [log(0x04, disk), ...[1, 2, 3, 4, 5, 6].map(statistics)],
  'Self-test logs 06h and 07h': [log(0x06, disk), log(0x07, disk)],
  'Queued command error log 10h': [log(0x10, errors)],
  'Link counters 11h': [log(0x11, errors)],
  'SCT status E0h': [log(0xe0, disk)],
  'SCT temperature table E1h': [log(0xe1, set)],
  'SCT error recovery timers': [{ page: { record: 'sct-error-recovery' }, ...set }],
  'INQUIRY, pages 80h, 83h, 89h, B1h': [
    { page: { record: 'inquiry' }, ...sas },
    { page: { record: 'vpd', page: 0x80 }, ...sas },
    { page: { record: 'vpd', page: 0x83 }, ...sas },
    { page: { record: 'vpd', page: 0xb1 }, ...sas },
    { page: { record: 'vpd', page: 0xb1 }, ...zoned },
    { page: { record: 'vpd', page: 0x89 }, ...bridge },
  ],
  'READ CAPACITY(16)': [
    { page: { record: 'read-capacity-16' }, ...sas },
    { page: { record: 'read-capacity-16' }, ...zoned },
  ],
  'REQUEST SENSE, TEST UNIT READY': [{ page: { record: 'request-sense' }, ...sas }],
  'Error counters 02h, 03h, 05h': [
    logSense(2, sas),
    logSense(3, sas),
    logSense(5, sas),
    logSense(2, modes),
  ],
  'Errors beside the medium 06h': [logSense(0x06, modes)],
  'Format status 08h': [logSense(0x08, links)],
  'Temperature 0Dh': [logSense(0x0d, sas)],
  'Start-stop 0Eh': [logSense(0x0e, sas), logSense(0x0e, zoned)],
  'Self-tests 10h': [logSense(0x10, sas)],
  'Solid state media 11h': [logSense(0x11, solid)],
  'Background scan 15h, pending defects 15h/01h': [
    { page: { record: 'log-sense', log: 0x15, subpage: 0 }, ...sas },
    { page: { record: 'log-sense', log: 0x15, subpage: 0 }, ...modes },
    { page: { record: 'log-sense', log: 0x15, subpage: 1 }, ...solid },
  ],
  'SAS phys 18h': [logSense(0x18, links)],
  'General statistics 19h': [logSense(0x19, modes)],
  'Informational exceptions 2Fh': [logSense(0x2f, sas)],
  'Maker’s page 37h (HGST)': [logSense(0x37, links)],
  'READ DEFECT DATA(12), head': [{ page: { record: 'defect-list' }, ...sas }],
  'Mode pages 01h, 08h, 1Ch': [modePage(0x01), modePage(0x08), modePage(0x1c)],
  'Identify Controller, Identify Namespace': [
    { page: { record: 'identify-controller' }, ...nvme },
    { page: { record: 'identify-namespace' }, ...nvme, none: 'nvme-no-tests' },
  ],
  'List of namespaces': [{ page: { record: 'namespace-list' }, ...nvmeSet }],
  'Features 04h, 06h, 10h': [
    feature(0x04),
    { ...feature(0x06), none: 'nvme-settings' },
    feature(0x10),
  ],
  'Health log 02h': [
    { page: { record: 'nvme-log', log: 2 }, ...nvme },
    { page: { record: 'nvme-log', log: 2 }, ...nvmeSet },
  ],
  'Error log 01h': [
    {
      page: { record: 'nvme-log', log: 1 },
      good: 'nvme-errors',
      cut: 'nvme-errors-cut',
      none: 'nvme-errors-none',
    },
  ],
  'Self-test log 06h': [
    { page: { record: 'nvme-log', log: 6 }, ...nvme, none: 'nvme-no-tests' },
    { page: { record: 'nvme-log', log: 6 }, ...nvmeSet },
  ],
};

/** The log directory is read while asking, not in a capture's decoding. */
const askedOnly = 'Log directory 00h';

function bytesOf(name: string, { page }: Proof): Uint8Array | undefined {
  const keys = Object.entries(page) as [keyof RawPage, unknown][];
  const found = captureOf(name).pages.find(
    (one) => one.data.length > 0 && keys.every(([key, value]) => one[key] === value),
  );
  return found?.data;
}

test('every row has its captures', () => {
  const rows = recordRows.map(({ record }) => record);
  expect([...Object.keys(proofs), askedOnly].sort()).toEqual([...rows].sort());
});

test.each(Object.entries(proofs))('%s: one good, one cut, one empty page', (_record, all) => {
  for (const proof of all) {
    const good = bytesOf(proof.good, proof)?.length ?? 0;
    const cut = bytesOf(proof.cut, proof)?.length ?? 0;
    expect(good).toBeGreaterThan(0);
    expect(cut).toBeGreaterThan(0);
    expect(cut).toBeLessThan(good);
    expect(bytesOf(proof.none, proof)).toBeDefined();
  }
});

test('Log directory 00h: pages of a log, of a page that is cut, and of one that holds nothing', () => {
  // HGST HC310 p. 190: word n holds the count of log n; log 07h has 3 pages.
  const page = new Uint8Array(512);
  page[14] = 3;
  expect(pagesInDirectory(page, 0x07)).toBe(3);
  expect(pagesInDirectory(page.subarray(0, 10), 0x07)).toBe(0);
  expect(pagesInDirectory(new Uint8Array(512), 0x07)).toBe(0);
});

const trees = 'agent/probes/recorded-trees.test.ts';
/** For each row of the table beside the drives the test that holds it, and a word of that test. */
const boxProofs: Readonly<Record<string, readonly [file: string, word: string]>> = {
  'SATA links': [trees, "'SATA speeds'"],
  'SAS phys of a host adapter': [trees, "'SAS phys'"],
  'PCI links': [trees, "'PCI widths and speeds'"],
  'PCI errors (AER)': [trees, "'PCI errors (AER)'"],
  'Memory errors (EDAC)': [trees, "'memory errors (EDAC)'"],
  'Sensors (hwmon)': [trees, "'sensors and fans'"],
  'Network cards': [trees, "'network cards'"],
  'md arrays': [trees, "'md arrays'"],
  'btrfs file systems': [trees, "'btrfs file systems'"],
  'ZFS pools': [trees, "'ZFS pools'"],
  'Time limits of commands': ['agent/probes/time-limits.test.ts', 'treeOf'],
  'Energy counters': ['agent/probes/box-itself.test.ts', 'treeOf'],
  Log: ['agent/probes/log-lines.test.ts', 'logFact'],
  'Counters of disks': ['agent/probes/activity.test.ts', 'parseDiskStat'],
  Load: ['agent/probes/box-itself.test.ts', 'loadReading'],
  'Memory modules (SMBIOS)': ['agent/probes/memory.test.ts', 'modulesOf'],
  'Identity and sensors (IPMI)': ['lab/cases/management.ts', 'sensor'],
  'Event log (IPMI)': ['agent/box/layouts/ipmi.test.ts', 'decodeEventLogEntry'],
  'Module in the plug (SFP, QSFP)': ['agent/box/layouts/module.test.ts', 'decodeQsfpModule'],
};

test('each thing that is read beside the drives has the test that its row tells of', () => {
  expect(Object.keys(boxProofs).sort()).toEqual(boxRecordRows.map(({ record }) => record).sort());
  for (const [record, [file, word]] of Object.entries(boxProofs)) {
    expect(readFileSync(new URL(file, import.meta.url), 'utf8'), record).toContain(word);
  }
});

/** Cases of the emulated machine that show a thing of the box, by its row. */
const seenInMachine: Readonly<Record<string, string>> = {
  'md arrays': 'lab/cases/md.ts',
  Log: 'lab/cases/kernel-log.ts',
  'Identity and sensors (IPMI)': 'lab/cases/management.ts',
  'Event log (IPMI)': 'lab/cases/management.ts',
};

test('what was tried on a made-up tree alone is never said to have been seen in a machine', () => {
  for (const { record, verified } of boxRecordRows) {
    const file = seenInMachine[record];
    expect(verified.endsWith(', emulated machine'), record).toBe(file !== undefined);
    if (file !== undefined) expect(existsSync(new URL(file, import.meta.url)), file).toBe(true);
    if (boxProofs[record]?.[0] === trees) expect(verified).toMatch(/^fake tree of recorded shapes/);
  }
});
