import { metricInfo, metrics } from './metrics.js';

/** A subject under which figures stand together, and its figures. */
export interface FigureGroup<T> {
  readonly title: string;
  readonly figures: readonly T[];
}

const damageTitle = 'Signs of damage';
const otherTitle = 'Other figures';

/**
 * Subjects in the order in which a person asks about a part, on the page, in `status` and in
 * `decode` alike. Counters of damage that no subject names stand under "Signs of damage".
 */
const subjects: readonly { readonly title: string; readonly metrics: readonly string[] }[] = [
  {
    title: 'What the drive says of itself',
    metrics: [
      'drive-verdict',
      'critical-warning',
      'self-test-result',
      'self-test-time',
      'read-recoveries',
      'surface-states-changed',
      'limits-passed',
      'self-test-running',
      'errors-logged',
      'last-error-logged',
      'last-queue-error',
      'background-scan',
      'background-scan-done',
      'background-scans',
      'background-scan-places',
      'non-medium-errors',
      'errors-corrected',
      'errors-corrected-late',
      'tries-repeated',
      'read-errors',
      'seek-errors',
      'seeks',
    ],
  },
  {
    title: 'The array',
    metrics: [
      'array-protection',
      'array-state',
      'array-members-missing',
      'array-may-still-fail',
      'array-work',
      'array-work-done',
      'array-work-rate',
      'array-work-left',
      'array-last-work',
      'array-last-check',
      'array-check-began',
      'array-mismatches',
    ],
  },
  {
    title: 'Members',
    metrics: [
      'array-member-state',
      'array-member-errors',
      'array-member-bad-sectors',
      'array-read-errors',
      'array-write-errors',
      'array-flush-errors',
      'array-damaged-blocks',
      'array-stale-blocks',
    ],
  },
  {
    title: 'Signs of damage',
    metrics: [
      'memory-errors-corrected',
      'memory-errors-uncorrectable',
      'memory-errors-corrected-since-load',
      'memory-errors-uncorrectable-since-load',
      'memory-counting-time',
    ],
  },
  {
    title: 'Warmth',
    metrics: [
      'temperature',
      'temperature-highest',
      'temperature-limit',
      'time-over-temperature',
      'temperature-lowest',
      'temperature-average',
      'samples-past-limit',
      'time-under-temperature',
      'slowed-by-heat',
      'time-slowed-by-heat',
    ],
  },
  {
    title: 'Air',
    metrics: ['fan-speed', 'fan-speed-limit', 'fan-drive'],
  },
  {
    title: 'Power',
    metrics: ['voltage', 'electric-current', 'power-draw', 'supply-state'],
  },
  {
    title: 'States',
    metrics: ['sensor-state'],
  },
  {
    title: 'Its own log',
    metrics: ['controller-log-used', 'controller-log-entries', 'controller-clock-ahead'],
  },
  {
    title: 'Link',
    metrics: [
      'link-events',
      'link-downshifts',
      'sas-link-speed',
      'hardware-resets',
      'signal-recoveries',
      'sata-link-speed',
      'sata-link-speed-possible',
      'pci-link-speed',
      'pci-link-speed-possible',
      'pci-link-lanes',
      'pci-link-lanes-possible',
      'pci-errors-corrected',
      'pci-errors-not-fatal',
      'pci-errors-fatal',
      'sas-invalid-words',
      'sas-disparity-errors',
      'sas-sync-losses',
      'sas-reset-problems',
      'kernel-time-limit',
      'drive-behind-bridge',
      'kernel-drive-state',
      'kernel-timeouts',
      'network-module',
      'optical-signal',
      'optical-power',
      'optical-power-limit',
      'network-rate',
      'network-rate-possible',
      'network-receive-errors',
      'network-checksum-errors',
      'network-carrier-changes',
    ],
  },
  {
    title: 'Age and use',
    metrics: [
      'power-on-hours',
      'drive-made',
      'hours-unit',
      'hours-count',
      'hours-count-watched',
      'hours-count-growth',
      'hours-count-stretches',
      'power-cycles',
      'start-stops',
      'head-loads',
      'start-stops-rated',
      'head-loads-rated',
      'read-commands',
      'write-commands',
      'busy-time',
      'workload-used',
      'free-falls',
      'shocks',
      'start-failures',
      'unsafe-shutdowns',
      'bytes-written',
      'bytes-read',
      'endurance-used',
      'spare-left',
      'spare-limit',
      'wear-in-window',
      'records-disagree',
    ],
  },
  {
    title: 'Work right now',
    metrics: ['read-rate', 'write-rate', 'busy-share', 'box-load', 'power-mode'],
  },
  {
    title: 'Settings',
    metrics: [
      'drive-setting',
      'hidden-sectors',
      'drive-memory',
      'namespace-size',
      'space-without-namespace',
      'error-recovery-time-limit',
      'error-retries',
    ],
  },
];

const titleOfMetric = new Map(
  subjects.flatMap(({ title, metrics: own }) => own.map((metric) => [metric, title] as const)),
);

const orderOfMetric = new Map(metrics.map((info, index) => [info.metric, index]));

/** The subject of a metric; "Other figures" for one that is not known. Pure; never throws. */
export function subjectOf(metric: string): string {
  const named = titleOfMetric.get(metric);
  return named ?? (metricInfo(metric).damage ? damageTitle : otherTitle);
}

/**
 * Figures by subject, within one by the order of the list of metrics and then by place; empty
 * subjects are left out. Pure; never throws.
 */
export function bySubject<T extends { readonly metric: string; readonly place?: string }>(
  figures: readonly T[],
): readonly FigureGroup<T>[] {
  const ordered = figures.toSorted(byOrder);
  return [...subjects.map(({ title }) => title), otherTitle]
    .map((title) => ({
      title,
      figures: ordered.filter(({ metric }) => subjectOf(metric) === title),
    }))
    .filter((group) => group.figures.length > 0);
}

interface Ordered {
  readonly metric: string;
  readonly place?: string;
}

function byOrder(a: Ordered, b: Ordered): number {
  const rank = ({ metric }: Ordered) => orderOfMetric.get(metric) ?? metrics.length;
  const places = (a.place ?? '').localeCompare(b.place ?? '', 'en');
  return rank(a) - rank(b) || a.metric.localeCompare(b.metric, 'en') || places;
}

/**
 * Records of age that should agree with each other: the plain figure and the hour counters. Hours.
 */
export function hourFigures<T extends { readonly metric: string; readonly unit: string }>(
  figures: readonly T[],
): readonly T[] {
  const isHours = (metric: string) => metric === 'power-on-hours' || metric === 'hour-counter';
  return figures.filter(({ metric, unit }) => isHours(metric) && unit === 'hours');
}
