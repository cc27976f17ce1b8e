import type { Unit } from './reading.js';

/**
 * What a growing damage counter points at. One finding is opened per cause: `surface` is the
 * drive's own medium, `cable` the data cable and its two plugs, `power` the power lead and supply.
 */
export type DamageCause = 'surface' | 'cable' | 'power' | 'response';

/** How a metric behaves and is named. */
export interface MetricInfo {
  readonly metric: string;
  /** Plain label, capital first, as on pages. */
  readonly label: string;
  readonly unit: Unit;
  /**
   * `counter` only grows in a sound record, `gauge` goes both ways all the time, `level` goes both
   * ways but stays the same for long, `state` is a code. All but gauges are kept on change.
   */
  readonly kind: 'counter' | 'gauge' | 'level' | 'state';
  /** Growth means harm. */
  readonly damage: boolean;
  readonly damageCause?: DamageCause;
  /** The number that the trade knows the figure by, shown in brackets behind the label. */
  readonly standardNumber?: string;
}

type Kind = MetricInfo['kind'];
type Extra = { readonly number?: string; readonly cause?: DamageCause };

function describe(
  metric: string,
  label: string,
  [unit, kind, extra]: readonly [Unit, Kind, Extra?],
): MetricInfo {
  return {
    metric,
    label,
    unit,
    kind,
    damage: extra?.cause !== undefined,
    ...(extra?.cause === undefined ? {} : { damageCause: extra.cause }),
    ...(extra?.number === undefined ? {} : { standardNumber: extra.number }),
  };
}

/** Every metric that Bayward names, in the order in which a part's readings are listed. */
export const metrics: readonly MetricInfo[] = [
  describe('drive-verdict', 'The drive’s own verdict', ['code', 'state']),
  describe('critical-warning', 'The drive’s own warnings', ['code', 'state']),
  describe('temperature', 'Temperature', ['celsius', 'gauge', { number: '194' }]),
  describe('temperature-highest', 'Highest temperature so far', ['celsius', 'level']),
  describe('temperature-limit', 'Temperature limit', ['celsius', 'level']),
  describe('temperature-lowest', 'Lowest temperature so far', ['celsius', 'level']),
  describe('temperature-average', 'Average temperature', ['celsius', 'level']),
  describe('samples-past-limit', 'Its own samples past a limit of warmth', ['count', 'counter']),
  describe('time-under-temperature', 'Time under its lowest temperature', ['minutes', 'counter']),
  describe('time-over-temperature', 'Time over its temperature limit', ['minutes', 'counter']),
  describe('slowed-by-heat', 'Times it slowed itself against heat', ['count', 'counter']),
  describe('time-slowed-by-heat', 'Time slowed against heat', ['seconds', 'counter']),
  describe('reallocated-sectors', 'Reallocated sectors', [
    'sectors',
    'counter',
    { number: '5', cause: 'surface' },
  ]),
  describe('pending-sectors', 'Pending sectors', [
    'sectors',
    'level',
    { number: '197', cause: 'surface' },
  ]),
  describe('uncorrectable-sectors', 'Uncorrectable sectors', [
    'sectors',
    'counter',
    { number: '198', cause: 'surface' },
  ]),
  describe('uncorrectable-errors-reported', 'Uncorrectable errors reported', [
    'count',
    'counter',
    { number: '187', cause: 'surface' },
  ]),
  describe('media-and-data-errors', 'Media and data errors', [
    'count',
    'counter',
    { cause: 'surface' },
  ]),
  describe('grown-defects', 'Grown defects', ['count', 'counter', { cause: 'surface' }]),
  describe('interface-crc-errors', 'Interface CRC errors', [
    'count',
    'counter',
    { number: '199', cause: 'cable' },
  ]),
  describe('commands-overdue', 'Commands overdue', [
    'count',
    'counter',
    { number: '188', cause: 'response' },
  ]),
  describe('emergency-head-parks', 'Emergency head parks', [
    'count',
    'counter',
    { number: '192', cause: 'power' },
  ]),
  describe('start-failures', 'Starts of its motor that failed', ['count', 'counter']),
  describe('free-falls', 'Falls that it felt', ['count', 'counter']),
  describe('shocks', 'Shocks past its limit', ['count', 'counter']),
  describe('read-recoveries', 'Reads that it had to recover', ['count', 'counter']),
  describe('surface-states-changed', 'Heads or surfaces that changed their state', [
    'count',
    'counter',
  ]),
  describe('hardware-resets', 'Resets of its link', ['count', 'counter']),
  describe('signal-recoveries', 'Times the link’s signal was lost and came back', [
    'count',
    'counter',
  ]),
  describe('limits-passed', 'Watched figures past a limit', ['code', 'state']),
  describe('unsafe-shutdowns', 'Unsafe shutdowns', ['count', 'counter']),
  describe('non-medium-errors', 'Errors that were not of the medium', ['count', 'counter']),
  describe('errors-corrected', 'Errors that the drive corrected', ['count', 'counter']),
  describe('errors-corrected-late', 'Errors corrected after a delay', ['count', 'counter']),
  describe('tries-repeated', 'Reads and writes tried again', ['count', 'counter']),
  describe('errors-logged', 'Errors in the drive’s log', ['count', 'counter']),
  describe('last-error-logged', 'Last error in the drive’s log', ['code', 'state']),
  describe('last-queue-error', 'Last error of the command queue', ['code', 'state']),
  describe('power-on-hours', 'Power-on hours', ['hours', 'counter', { number: '9' }]),
  describe('drive-made', 'Made in', ['code', 'state']),
  describe('records-disagree', 'Two records differ', ['code', 'state']),
  describe('hours-unit', 'What its counter 9 counts', ['seconds', 'state']),
  describe('hours-count', 'Its counter 9, as it counts', ['count', 'counter']),
  describe('hours-count-watched', 'Counter 9 watched for', ['seconds', 'counter']),
  describe('hours-count-growth', 'Growth of counter 9 in that time', ['count', 'counter']),
  describe('hours-count-stretches', 'Stretches of that time', ['count', 'counter']),
  describe('hour-counter', 'Hours by one record', ['hours', 'counter']),
  describe('power-cycles', 'Power cycles', ['count', 'counter', { number: '12' }]),
  describe('start-stops', 'Starts and stops', ['count', 'counter', { number: '4' }]),
  describe('head-loads', 'Head loads', ['count', 'counter', { number: '193' }]),
  describe('start-stops-rated', 'Starts and stops it is made for', ['count', 'level']),
  describe('head-loads-rated', 'Head loads it is made for', ['count', 'level']),
  describe('read-errors', 'Read errors', ['count', 'counter', { number: '1' }]),
  describe('seek-errors', 'Seek errors', ['count', 'counter', { number: '7' }]),
  describe('seeks', 'Seeks', ['count', 'counter']),
  describe('bytes-written', 'Data written', ['bytes', 'counter']),
  describe('bytes-read', 'Data read', ['bytes', 'counter']),
  describe('read-commands', 'Commands to read', ['count', 'counter']),
  describe('write-commands', 'Commands to write', ['count', 'counter']),
  describe('workload-used', 'Work done of what it is made for', ['percent', 'level']),
  describe('busy-time', 'Time at work', ['minutes', 'counter']),
  describe('endurance-used', 'Endurance used', ['percent', 'counter']),
  describe('wear-in-window', 'Wear since the drive’s timer started', ['percent', 'level']),
  describe('spare-left', 'Spare left', ['percent', 'level']),
  describe('spare-limit', 'Spare limit', ['percent', 'level']),
  describe('self-test-result', 'Last self-test', ['code', 'state']),
  describe('self-test-time', 'Time that a self-test takes', ['minutes', 'level']),
  describe('self-test-running', 'Self-test running, left', ['percent', 'gauge']),
  describe('background-scan', 'The drive’s own scan of its surface', ['code', 'state']),
  describe('background-scan-done', 'Part of that scan done', ['percent', 'gauge']),
  describe('background-scans', 'Scans of its own so far', ['count', 'counter']),
  describe('background-scan-places', 'Places that its own scan found', ['count', 'level']),
  describe('error-retries', 'Tries before an error is told', ['count', 'level']),
  describe('error-recovery-time-limit', 'Error recovery time limit', ['milliseconds', 'level']),
  describe('drive-setting', 'Setting of the drive', ['code', 'state']),
  describe('hidden-sectors', 'Sectors behind the shown capacity', ['sectors', 'level']),
  describe('drive-memory', 'Memory of its own', ['bytes', 'level']),
  describe('namespace-size', 'Size of a namespace', ['bytes', 'level']),
  describe('space-without-namespace', 'Space that no namespace shows', ['bytes', 'level']),
  describe('power-mode', 'Power mode', ['code', 'state']),
  describe('sata-link-speed', 'SATA link speed', ['bits-per-second', 'level']),
  describe('sata-link-speed-possible', 'SATA link speed possible', ['bits-per-second', 'level']),
  describe('link-downshifts', 'Falls of the link to a lower speed', ['count', 'counter']),
  describe('link-events', 'Events on the link since power-on', ['count', 'level']),
  describe('sas-link-speed', 'SAS link speed', ['bits-per-second', 'level']),
  describe('pci-link-speed', 'PCI link speed', ['gigatransfers-per-second', 'level']),
  describe('pci-link-speed-possible', 'PCI link speed possible', [
    'gigatransfers-per-second',
    'level',
  ]),
  describe('pci-link-lanes', 'PCI link lanes', ['lanes', 'level']),
  describe('pci-link-lanes-possible', 'PCI link lanes possible', ['lanes', 'level']),
  describe('pci-errors-corrected', 'PCI errors corrected', ['count', 'counter']),
  describe('pci-errors-not-fatal', 'PCI errors not corrected', ['count', 'counter']),
  describe('pci-errors-fatal', 'PCI errors that broke the link', ['count', 'counter']),
  describe('memory-errors-corrected', 'Memory errors corrected', ['count', 'counter']),
  describe('memory-errors-uncorrectable', 'Memory errors beyond correction', ['count', 'counter']),
  describe('memory-errors-corrected-since-load', 'Corrected since counting began', [
    'count',
    'counter',
  ]),
  describe('memory-errors-uncorrectable-since-load', 'Beyond correction since counting began', [
    'count',
    'counter',
  ]),
  describe('memory-counting-time', 'Counting for', ['seconds', 'gauge']),
  describe('network-rate', 'Network rate', ['bits-per-second', 'level']),
  describe('network-rate-possible', 'Network rate possible', ['bits-per-second', 'level']),
  describe('network-receive-errors', 'Network receive errors', ['count', 'counter']),
  describe('network-checksum-errors', 'Network checksum errors', ['count', 'counter']),
  describe('network-carrier-changes', 'Network carrier changes', ['count', 'counter']),
  describe('array-protection', 'Members that may fail when all are there', ['count', 'state']),
  describe('array-state', 'State of the array', ['code', 'state']),
  describe('array-members-missing', 'Members missing', ['count', 'state']),
  describe('array-may-still-fail', 'Members that may still fail', ['count', 'state']),
  describe('array-work', 'Done to the whole array', ['code', 'state']),
  describe('array-work-done', 'Part of that work done', ['percent', 'gauge']),
  describe('array-work-rate', 'Rate of that work', ['bytes-per-second', 'gauge']),
  describe('array-work-left', 'Time left of that work', ['seconds', 'gauge']),
  describe('array-last-work', 'Done to the whole array last', ['code', 'state']),
  describe('array-last-check', 'Last whole check', ['unix-seconds', 'state']),
  describe('array-check-began', 'Check under way began', ['unix-seconds', 'state']),
  describe('array-mismatches', 'Copies that disagree', ['sectors', 'state']),
  describe('array-member-state', 'State of a member', ['code', 'state']),
  describe('array-member-errors', 'Errors put right on a member', ['count', 'counter']),
  describe('array-member-bad-sectors', 'Sectors of a member kept out of use', ['sectors', 'level']),
  describe('array-read-errors', 'Array read errors', ['count', 'counter']),
  describe('array-write-errors', 'Array write errors', ['count', 'counter']),
  describe('array-flush-errors', 'Array flush errors', ['count', 'counter']),
  describe('array-damaged-blocks', 'Damaged blocks found', ['count', 'counter']),
  describe('array-stale-blocks', 'Stale blocks found', ['count', 'counter']),
  describe('kernel-time-limit', 'How long the kernel waits', ['milliseconds', 'level']),
  describe('drive-behind-bridge', 'Drive behind the USB bridge', ['code', 'state']),
  describe('kernel-drive-state', 'What the kernel does with it', ['code', 'state']),
  describe('kernel-timeouts', 'Commands the kernel gave up waiting for', ['count', 'counter']),
  describe('sas-invalid-words', 'SAS words not valid', ['count', 'counter']),
  describe('sas-disparity-errors', 'SAS words out of balance', ['count', 'counter']),
  describe('sas-sync-losses', 'SAS step lost', ['count', 'counter']),
  describe('sas-reset-problems', 'SAS resets that failed', ['count', 'counter']),
  describe('power-draw', 'Power drawn', ['watts', 'gauge']),
  describe('network-module', 'Module in the plug', ['code', 'state']),
  describe('optical-signal', 'Signal at the module', ['code', 'state']),
  describe('optical-power-limit', 'Limit of light power', ['microwatts', 'level']),
  describe('optical-power', 'Light power', ['microwatts', 'gauge']),
  describe('box-load', 'Tasks running or waiting, per processor', ['percent', 'gauge']),
  describe('fan-speed', 'Fan speed', ['rpm', 'gauge']),
  describe('fan-speed-limit', 'Lowest speed that is enough', ['rpm', 'level']),
  describe('fan-drive', 'Fan driven at', ['percent', 'gauge']),
  describe('voltage', 'Voltage', ['volts', 'gauge']),
  describe('electric-current', 'Electric current', ['milliamperes', 'gauge']),
  describe('supply-state', 'Power supply', ['code', 'state']),
  describe('sensor-state', 'State', ['code', 'state']),
  describe('controller-log-used', 'Share of its log in use', ['percent', 'level']),
  describe('controller-log-entries', 'Entries in its log', ['count', 'level']),
  describe('controller-clock-ahead', 'Its clock', ['minutes', 'state']),
  describe('read-rate', 'Read rate', ['bytes-per-second', 'gauge']),
  describe('write-rate', 'Write rate', ['bytes-per-second', 'gauge']),
  describe('busy-share', 'Busy share', ['percent', 'gauge']),
];

const byName = new Map(metrics.map((info) => [info.metric, info]));

/**
 * Name, unit and kind of a metric. An unknown metric is neutral: its label is made from its name,
 * it is a gauge in counts and its growth means no harm. Numbers behind labels are the common
 * attribute numbers of the trade (from memory). Never throws.
 */
export function metricInfo(metric: string): MetricInfo {
  const known = byName.get(metric);
  if (known !== undefined) {
    return known;
  }
  const words = metric.replaceAll('-', ' ').trim();
  const label = words === '' ? 'Unnamed figure' : words.charAt(0).toUpperCase() + words.slice(1);
  return describe(metric, label, ['count', 'gauge']);
}

/** Label with the trade's number behind, such as "Reallocated sectors (5)". */
export function metricTitle(metric: string): string {
  const { label, standardNumber } = metricInfo(metric);
  return standardNumber === undefined ? label : `${label} (${standardNumber})`;
}
