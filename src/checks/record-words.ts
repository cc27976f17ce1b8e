import type { RecordName } from './capture.js';
import type { RecordRow } from './record-row.js';
import { recordRows } from './records.js';

/** Which page of which record, as it is asked for. */
export interface PageName {
  readonly record: RecordName;
  readonly log?: number;
  readonly page?: number;
  readonly subpage?: number;
  /** Without it the first namespace of the capture is meant. */
  readonly nsid?: number;
}

const recordWords: Readonly<Record<RecordName, string>> = {
  'identify-device': 'IDENTIFY DEVICE',
  'smart-data': 'SMART data',
  'smart-thresholds': 'SMART thresholds',
  'smart-status': 'SMART status',
  'power-mode': 'power mode',
  'native-max': 'native maximum address',
  log: 'log',
  'identify-controller': 'Identify Controller',
  'identify-namespace': 'Identify Namespace',
  'nvme-log': 'NVMe log',
  'namespace-list': 'list of namespaces',
  'nvme-feature': 'NVMe feature',
  inquiry: 'INQUIRY',
  vpd: 'INQUIRY page',
  'read-capacity-16': 'READ CAPACITY(16)',
  'log-sense': 'LOG SENSE page',
  'request-sense': 'REQUEST SENSE',
  'defect-list': 'defect list',
  'sct-error-recovery': 'SCT error recovery timer',
  'mode-sense': 'mode page',
};

const logWords: Readonly<Record<number, string>> = {
  1: 'error log 01h',
  3: 'extended error log 03h',
  4: 'Device Statistics',
  6: 'self-test log 06h',
  7: 'extended self-test log 07h',
  16: 'queued command error log 10h',
  17: 'link counters 11h',
  48: 'IDENTIFY DEVICE data log 30h',
  224: 'SCT status',
  225: 'SCT temperature table',
};

const pagesByNumber: readonly RecordName[] = ['vpd', 'mode-sense', 'nvme-feature'];

/** The standard's name of a page: "Device Statistics page 3", "mode page 08h". */
export function pageWords(name: PageName): string {
  const words = recordWords[name.record];
  if (pagesByNumber.includes(name.record)) {
    return `${words} ${hex(name.page ?? 0)}`;
  }
  if (name.log === undefined) return words;
  if (name.record === 'log') {
    const page = name.page === undefined ? '' : ` page ${name.page}`;
    return `${logWords[name.log] ?? `log ${hex(name.log)}`}${page}`;
  }
  return `${words} ${hex(name.log)}${name.subpage ? `/${hex(name.subpage)}` : ''}`;
}

function hex(value: number): string {
  return `${value.toString(16).toUpperCase().padStart(2, '0')}h`;
}

/** How the row of a record begins; records with many pages are found by the page's number. */
const rowBeginnings: Partial<Readonly<Record<RecordName, string>>> = {
  'identify-device': 'IDENTIFY DEVICE',
  'smart-data': 'SMART data and thresholds',
  'smart-thresholds': 'SMART data and thresholds',
  'smart-status': 'SMART RETURN STATUS',
  'power-mode': 'CHECK POWER MODE',
  'native-max': 'Native maximum address',
  'identify-controller': 'Identify Controller',
  'identify-namespace': 'Identify Controller',
  'namespace-list': 'List of namespaces',
  'nvme-feature': 'Features',
  inquiry: 'INQUIRY',
  vpd: 'INQUIRY',
  'read-capacity-16': 'READ CAPACITY(16)',
  'request-sense': 'REQUEST SENSE',
  'defect-list': 'READ DEFECT DATA',
  'sct-error-recovery': 'SCT error recovery timers',
  'mode-sense': 'Mode pages',
};

/** Rows whose numbers are none of logs. */
const otherNumbers: readonly string[] = ['Features', 'INQUIRY', 'Mode pages'];

const protocols: Partial<Readonly<Record<RecordName, RecordRow['protocol']>>> = {
  log: 'ATA',
  'nvme-log': 'NVMe',
  'log-sense': 'SCSI',
};

/**
 * The row of the list of records that a page belongs to, which tells on whose word it is decoded.
 * Null for a page that the list does not name.
 */
export function recordRowOf({ record, log = 0 }: PageName): RecordRow | null {
  const named = rowBeginnings[record];
  const isIt = (row: RecordRow) =>
    named === undefined
      ? row.protocol === protocols[record] &&
        row.record.includes(` ${hex(log)}`) &&
        !otherNumbers.some((beginning) => row.record.startsWith(beginning))
      : row.record.startsWith(named);
  return recordRows.find(isIt) ?? null;
}
