import { type RecordRow, workedAndEmulated, workedBytes } from './record-row.js';

/** The records of an NVMe drive, in the order of the README’s table. */
export const nvmeRecordRows: readonly RecordRow[] = [
  {
    protocol: 'NVMe',
    record: 'Identify Controller, Identify Namespace',
    taken: 'identity, capacity, blocks of each namespace, limits, space that no namespace shows',
    source: 'Linux 6.1 nvme.h; names from memory',
    verified: workedAndEmulated,
  },
  {
    protocol: 'NVMe',
    record: 'List of namespaces',
    taken: 'which namespaces there are beside the first',
    source: 'NVM Express from memory',
    verified: workedBytes,
    rare: true,
  },
  {
    protocol: 'NVMe',
    record: 'Features 04h, 06h, 10h',
    taken: 'thresholds of warmth, write cache, from which warmth it slows itself; never set',
    source: 'NVM Express from memory',
    verified: workedBytes,
    rare: true,
  },
  {
    protocol: 'NVMe',
    record: 'Health log 02h',
    taken: 'warnings, temperatures, wear, work, hours, cycles, errors, time too warm and slowed',
    source: 'Linux 6.1 nvme.h; units from memory',
    verified: workedAndEmulated,
  },
  {
    protocol: 'NVMe',
    record: 'Error log 01h',
    taken: 'newest error with its place',
    source: 'NVM Express from memory; codes Linux 6.1 nvme.h',
    verified: workedBytes,
    rare: true,
  },
  {
    protocol: 'NVMe',
    record: 'Self-test log 06h',
    taken: 'last result, failing part, first failing block, hours of each test',
    source: 'NVM Express from memory',
    verified: workedBytes,
  },
];
