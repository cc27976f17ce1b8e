import type { Interpretation } from '../agent/probes/interpretation.js';
import type { Capture, DriveIdentity } from '../checks/capture.js';
import { metricTitle } from '../checks/metrics.js';
import type { Reading } from '../checks/reading.js';
import { readingStateWords } from '../checks/state-words.js';
import { formatBytes, formatNumber, formatReading } from '../checks/units.js';

/** Subjects in the order in which a person asks about a used drive. */
const subjects: readonly (readonly [string, readonly string[]])[] = [
  [
    'What the drive says of itself',
    ['drive-verdict', 'critical-warning', 'self-test-', 'limits-passed'],
  ],
  [
    'Age',
    [
      'power-on-hours',
      'drive-made',
      'power-cycles',
      'start-stops',
      'unsafe-shutdowns',
      'records-disagree',
    ],
  ],
  [
    'Damage',
    [
      'reallocated-',
      'pending-',
      'uncorrectable-',
      'media-and-data-errors',
      'grown-defects',
      'commands-overdue',
      'interface-crc-errors',
      'emergency-head-parks',
      'read-errors',
      'errors-corrected',
      'tries-repeated',
      'non-medium-errors',
      'background-scan',
      'read-recoveries',
      'start-failures',
      'surface-states-changed',
      'free-falls',
      'shocks',
    ],
  ],
  [
    'Wear',
    [
      'endurance-used',
      'spare-',
      'wear-',
      'head-loads',
      'seek',
      'bytes-',
      'read-c',
      'write-c',
      'busy-time',
      'workload-used',
    ],
  ],
  [
    'Temperature',
    [
      'temperature',
      'time-over-temperature',
      'time-under-temperature',
      'samples-past-limit',
      'slowed-',
      'time-slowed-',
    ],
  ],
  ['Logs', ['errors-logged', 'last-']],
  [
    'Settings',
    [
      'drive-setting',
      'hidden-sectors',
      'drive-memory',
      'namespace-size',
      'space-without-namespace',
      'error-recovery-time-limit',
      'error-retries',
    ],
  ],
];
const otherSubject = 'Link and power';

export function captureLines(capture: Capture, found: Interpretation): readonly string[] {
  return [
    `Captured ${capture.taken}.`,
    ...identityLines(found.identity),
    ...grouped(found.readings),
    ...counterLines(found),
    ...section(
      'Remarks',
      found.remarks.map((remark) => `${remark}.`),
    ),
  ];
}

function identityLines(identity: DriveIdentity): readonly string[] {
  const { model, serial, firmware, worldWideName, capacityBytes } = identity;
  const named = `${model ?? 'A drive of unknown model'}, serial ${serial ?? 'not told'}`;
  const name = worldWideName === null ? '' : `, world-wide name ${worldWideName}`;
  const capacity = capacityBytes === null ? 'Capacity not told' : formatBytes(capacityBytes);
  return [
    `${named}, firmware ${firmware ?? 'not told'}${name}.`,
    `${capacity}, ${blocks(identity)}, ${turning(identity)}.`,
  ];
}

function blocks({ logicalBlockBytes, physicalBlockBytes }: DriveIdentity): string {
  if (logicalBlockBytes === null) return 'block size not told';
  const medium = physicalBlockBytes === null ? '' : ` on ${physicalBlockBytes} bytes of medium`;
  return `blocks of ${logicalBlockBytes} bytes${medium}`;
}

function turning({ rotationRpm, rotating }: DriveIdentity): string {
  if (rotationRpm !== null) return `${formatNumber(rotationRpm)} turns a minute`;
  return rotating === false ? 'solid state' : 'rotation not told';
}

function grouped(readings: readonly Reading[]): readonly string[] {
  const subjectOf = ({ metric }: Reading) =>
    subjects.find(([, starts]) => starts.some((start) => metric.startsWith(start)))?.[0];
  const names = [...subjects.map(([name]) => name), otherSubject];
  return names.flatMap((name) => {
    const own = readings.filter((reading) => (subjectOf(reading) ?? otherSubject) === name);
    return section(name, own.map(readingLine));
  });
}

function readingLine(reading: Reading): string {
  const { metric, place, state, source, why } = reading;
  const title = place === undefined ? metricTitle(metric) : `${metricTitle(metric)}, ${place}`;
  if (state === 'measured') return `${title}: ${formatReading(reading)}, from ${source}.`;
  return `${title}: ${readingStateWords[state]}. ${why ?? ''}.`;
}

function counterLines({ hourCounters }: Interpretation): readonly string[] {
  const lines = hourCounters.map(({ name, hours, source }) =>
    hours === null
      ? `${name}: none, ${source}.`
      : `${name}: ${formatNumber(hours, 1)} h, ${source}.`,
  );
  return section('Hour counters', lines);
}

function section(name: string, lines: readonly string[]): readonly string[] {
  return lines.length === 0 ? [] : ['', `${name}:`, ...lines.map((line) => `  ${line}`)];
}
