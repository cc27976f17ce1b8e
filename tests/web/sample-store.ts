// A store as the agent leaves it after two months on the box of an oral-history archive's reading
// room: on for some hours on most days, off at night. Everything in it is invented.
import type { Instant, PartRow } from '../../src/agent/store/rows.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import { openStore } from '../../src/agent/store/write.js';
import type { Reading } from '../../src/checks/reading.js';
import { captureOf } from '../agent/probes/capture-of.js';
import { SampleClock } from './sample-clock.js';
import { sampleFindings } from './sample-findings.js';
import { sampleParts } from './sample-parts.js';
import {
  boardReadings,
  controllerReadings,
  driveReadings,
  networkReadings,
  type SampleMoment,
} from './sample-readings.js';
import { keepSampleTrials } from './sample-trials.js';

const minuteMs = 60_000;
const dayMs = 24 * 60 * minuteMs;
const days = 60;
const roundMinutes = 5;
const driveRoundMinutes = 30;

/** 12 March 2026, 09:10 in the evening of the last sample day; the sample ends there. */
export const sampleNowMs = Date.UTC(2026, 2, 12, 20, 10);

export interface Sample {
  readonly writer: StoreWriter;
  readonly boot: number;
  readonly at: Instant;
}

/** Makes the sample at `path`. Every eighth day the box stays off. */
export function makeSampleStore(path: string): Sample {
  const clock = new SampleClock();
  const writer = openStore(path, clock);
  const parts = new Map<string, PartRow>();
  const ends: Instant[] = [];
  for (let day = 0; day < days; day += 1) {
    if (day % 8 !== 5) ends.push(keepDay(writer, clock, { day, parts }));
  }
  const [first, at] = [ends[0], ends.at(-1)];
  if (first === undefined || at === undefined) throw new Error('The sample has no days');
  writer.keepFindings(at, sampleFindings(at));
  clearOne(writer, at);
  keepSampleTrials(writer, { first, before: ends.at(-2) ?? at, last: at }, parts);
  keepSampleBytes(writer, at, parts);
  writer.thin(at.wallMs);
  return { writer, boot: at.boot, at };
}

/** The bytes of an invented disk, as if one of the drives had given them. */
function keepSampleBytes(
  writer: StoreWriter,
  at: Instant,
  parts: ReadonlyMap<string, PartRow>,
): void {
  const drive = [...parts.values()].find(({ name }) => name === 'LK7-3310A');
  if (drive === undefined) throw new Error('The sample has no drive to keep bytes of');
  writer.keepNewestPages(drive.id, at, captureOf('healthy-disk'));
}

function clearOne(writer: StoreWriter, at: Instant): void {
  const finding = writer.findings('open').find(({ code }) => code === 'drive-slow');
  if (finding === undefined) throw new Error('The sample has no finding to clear');
  const cleared = { clearedBoot: at.boot - 13, clearedWallMs: at.wallMs - 15 * dayMs };
  writer.keepFindings(at, [{ kind: 'clear', finding: { ...finding, ...cleared } }]);
}

interface Day {
  readonly day: number;
  readonly parts: Map<string, PartRow>;
}

function keepDay(writer: StoreWriter, clock: SampleClock, { day, parts }: Day): Instant {
  const isLast = day === days - 1;
  const minutes = isLast ? 190 : 150 + ((day * 53) % 220);
  const endMs = sampleNowMs - (days - 1 - day) * dayMs;
  const startMs = endMs - minutes * minuteMs;
  clock.bootId = `00000000-0000-4000-8000-${String(day).padStart(12, '0')}`;
  clock.now = { bootMs: 0, wallMs: startMs };
  const boot = writer.beginBoot(clock.bootId, startMs);
  let at: Instant = { boot, monoMs: 0, wallMs: startMs };
  for (let minute = 1; minute <= minutes; minute += roundMinutes) {
    clock.now = { bootMs: minute * minuteMs, wallMs: startMs + minute * minuteMs };
    at = { boot, monoMs: clock.now.bootMs, wallMs: clock.now.wallMs };
    // On one evening the agent was stopped for an hour while the box stayed on.
    if (day === days - 3 && minute > 60 && minute < 125) continue;
    keepRound(writer, at, { moment: { day, minute }, parts });
  }
  return at;
}

function keepRound(
  writer: StoreWriter,
  at: Instant,
  round: { moment: SampleMoment; parts: Map<string, PartRow> },
): void {
  const { moment, parts } = round;
  const withDrives = moment.minute % driveRoundMinutes === 1;
  for (const part of sampleParts) {
    const readings = readingsOf(part.name, moment, withDrives);
    if (readings.length === 0) continue;
    const row = moment.minute === 1 ? writer.keepPart(part, at) : parts.get(part.name);
    if (row === undefined) continue;
    parts.set(part.name, row);
    writer.keepReadings(row.id, at, readings);
  }
}

function readingsOf(name: string, moment: SampleMoment, withDrives: boolean): readonly Reading[] {
  if (name === 'sensors-board') return boardReadings(moment);
  if (name === 'network-card-03-00-0') return networkReadings();
  if (name.startsWith('disk-controller')) return controllerReadings();
  return withDrives ? driveReadings(name, moment) : [];
}
