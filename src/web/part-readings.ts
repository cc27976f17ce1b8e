import type { LatestReading } from '../agent/store/rows.js';
import { metricInfo, metrics } from '../checks/metrics.js';

/** A group of readings as a part page shows them. */
export interface ReadingGroup {
  readonly title: string;
  readonly readings: readonly LatestReading[];
}

const titleOfMetric: Readonly<Record<string, string>> = {
  'drive-verdict': 'What the drive says of itself',
  'critical-warning': 'What the drive says of itself',
  'self-test-result': 'What the drive says of itself',
  'self-test-time': 'What the drive says of itself',
  'read-recoveries': 'What the drive says of itself',
  'surface-states-changed': 'What the drive says of itself',
  'limits-passed': 'What the drive says of itself',
  'self-test-running': 'What the drive says of itself',
  'errors-logged': 'What the drive says of itself',
  'last-error-logged': 'What the drive says of itself',
  'last-queue-error': 'What the drive says of itself',
  'background-scan': 'What the drive says of itself',
  'background-scan-done': 'What the drive says of itself',
  'background-scans': 'What the drive says of itself',
  'background-scan-places': 'What the drive says of itself',
  'non-medium-errors': 'What the drive says of itself',
  'errors-corrected': 'What the drive says of itself',
  'errors-corrected-late': 'What the drive says of itself',
  'tries-repeated': 'What the drive says of itself',
  temperature: 'Warmth',
  'temperature-highest': 'Warmth',
  'temperature-limit': 'Warmth',
  'time-over-temperature': 'Warmth',
  'temperature-lowest': 'Warmth',
  'temperature-average': 'Warmth',
  'samples-past-limit': 'Warmth',
  'time-under-temperature': 'Warmth',
  'slowed-by-heat': 'Warmth',
  'time-slowed-by-heat': 'Warmth',
  'fan-speed': 'Air',
  'fan-speed-limit': 'Air',
  'fan-drive': 'Air',
  voltage: 'Power',
  'electric-current': 'Power',
  'power-draw': 'Power',
  'supply-state': 'Power',
  'sensor-state': 'States',
  'controller-log-used': 'Its own log',
  'controller-log-entries': 'Its own log',
  'controller-clock-ahead': 'Its own log',
  'power-on-hours': 'Age and use',
  'drive-made': 'Age and use',
  'hours-unit': 'Age and use',
  'hours-count': 'Age and use',
  'hours-count-watched': 'Age and use',
  'hours-count-growth': 'Age and use',
  'hours-count-stretches': 'Age and use',
  'power-cycles': 'Age and use',
  'start-stops': 'Age and use',
  'head-loads': 'Age and use',
  'start-stops-rated': 'Age and use',
  'head-loads-rated': 'Age and use',
  'read-commands': 'Age and use',
  'write-commands': 'Age and use',
  'busy-time': 'Age and use',
  'workload-used': 'Age and use',
  'free-falls': 'Age and use',
  shocks: 'Age and use',
  'start-failures': 'Age and use',
  'unsafe-shutdowns': 'Age and use',
  'bytes-written': 'Age and use',
  'bytes-read': 'Age and use',
  'endurance-used': 'Age and use',
  'spare-left': 'Age and use',
  'spare-limit': 'Age and use',
  'wear-in-window': 'Age and use',
  'records-disagree': 'Age and use',
  'link-events': 'Link',
  'link-downshifts': 'Link',
  'sas-link-speed': 'Link',
  'hardware-resets': 'Link',
  'signal-recoveries': 'Link',
  'sata-link-speed': 'Link',
  'sata-link-speed-possible': 'Link',
  'pci-link-speed': 'Link',
  'pci-link-speed-possible': 'Link',
  'pci-link-lanes': 'Link',
  'pci-link-lanes-possible': 'Link',
  'pci-errors-corrected': 'Link',
  'pci-errors-not-fatal': 'Link',
  'pci-errors-fatal': 'Link',
  'memory-errors-corrected': 'Signs of damage',
  'memory-errors-uncorrectable': 'Signs of damage',
  'sas-invalid-words': 'Link',
  'sas-disparity-errors': 'Link',
  'sas-sync-losses': 'Link',
  'sas-reset-problems': 'Link',
  'kernel-time-limit': 'Link',
  'drive-behind-bridge': 'Link',
  'kernel-drive-state': 'Link',
  'kernel-timeouts': 'Link',
  'network-module': 'Link',
  'optical-signal': 'Link',
  'optical-power': 'Link',
  'optical-power-limit': 'Link',
  'network-rate': 'Link',
  'network-rate-possible': 'Link',
  'network-receive-errors': 'Link',
  'network-checksum-errors': 'Link',
  'network-carrier-changes': 'Link',
  'array-protection': 'The array',
  'array-state': 'The array',
  'array-members-missing': 'The array',
  'array-may-still-fail': 'The array',
  'array-work': 'The array',
  'array-work-done': 'The array',
  'array-work-rate': 'The array',
  'array-work-left': 'The array',
  'array-last-work': 'The array',
  'array-last-check': 'The array',
  'array-check-began': 'The array',
  'array-mismatches': 'The array',
  'array-member-state': 'Members',
  'array-member-errors': 'Members',
  'array-member-bad-sectors': 'Members',
  'array-read-errors': 'Members',
  'array-write-errors': 'Members',
  'array-flush-errors': 'Members',
  'array-damaged-blocks': 'Members',
  'array-stale-blocks': 'Members',
  'drive-setting': 'Settings',
  'hidden-sectors': 'Settings',
  'drive-memory': 'Settings',
  'namespace-size': 'Settings',
  'space-without-namespace': 'Settings',
  'error-recovery-time-limit': 'Settings',
  'error-retries': 'Settings',
  'read-rate': 'Work right now',
  'write-rate': 'Work right now',
  'busy-share': 'Work right now',
  'power-mode': 'Work right now',
};

const titlesInOrder = [
  'What the drive says of itself',
  'The array',
  'Members',
  'Signs of damage',
  'Warmth',
  'Air',
  'Power',
  'States',
  'Its own log',
  'Link',
  'Age and use',
  'Work right now',
  'Settings',
  'Other figures',
];

const orderOfMetric = new Map(metrics.map((info, index) => [info.metric, index]));

/** Sorts the newest readings of a part into groups with plain titles; empty groups are left out. */
export function groupReadings(latest: readonly LatestReading[]): readonly ReadingGroup[] {
  const shown = latest.filter((reading) => reading.metric !== 'hour-counter');
  const ordered = [...shown].sort(byOrder);
  return titlesInOrder
    .map((title) => ({
      title,
      readings: ordered.filter((reading) => titleOf(reading.metric) === title),
    }))
    .filter((group) => group.readings.length > 0);
}

/** Records of age that should agree with each other: the plain figure and the hour counters. */
export function hourCounters(latest: readonly LatestReading[]): readonly LatestReading[] {
  const isHours = (metric: string) => metric === 'power-on-hours' || metric === 'hour-counter';
  return latest.filter((reading) => isHours(reading.metric) && reading.unit === 'hours');
}

function titleOf(metric: string): string {
  return titleOfMetric[metric] ?? (metricInfo(metric).damage ? 'Signs of damage' : 'Other figures');
}

function byOrder(a: LatestReading, b: LatestReading): number {
  const rank = (reading: LatestReading) => orderOfMetric.get(reading.metric) ?? metrics.length;
  return rank(a) - rank(b) || a.metric.localeCompare(b.metric) || a.place.localeCompare(b.place);
}
