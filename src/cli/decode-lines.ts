import type { Interpretation } from '../agent/probes/interpretation.js';
import type { Capture, DriveIdentity } from '../checks/capture.js';
import { metricTitle } from '../checks/metrics.js';
import type { Reading } from '../checks/reading.js';
import { readingStateWords } from '../checks/state-words.js';
import { bySubject } from '../checks/subjects.js';
import { formatBytes, formatNumber, formatReading } from '../checks/units.js';

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
  return bySubject(readings).flatMap(({ title, figures }) =>
    section(title, figures.map(readingLine)),
  );
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
