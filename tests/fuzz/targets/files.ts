import {
  formatCaptureFile,
  parseCaptureFile,
} from '../../../src/agent/box/layouts/capture-file.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import { interpretAta } from '../../../src/agent/probes/interpret-ata.js';
import { interpretNvme } from '../../../src/agent/probes/interpret-nvme.js';
import { interpretScsi } from '../../../src/agent/probes/interpret-scsi.js';
import type { Capture, RawPage } from '../../../src/checks/capture.js';
import type { Reading } from '../../../src/checks/reading.js';
import { UserError } from '../../../src/checks/user-error.js';
import { makeChance } from '../chance.js';
import { exact, type Limits, u8, u16, u32 } from '../limits.js';
import { damagedPage, mendBlocks } from '../mutate-bytes.js';
import { captureTexts } from '../seeds.js';
import { type FuzzTarget, joinedTarget, textTarget } from '../target.js';
import { readingLimits, strictReadings } from './readings.js';

/** Capture files as texts, and all pages of a capture through the interpreters. */
export function filesTargets(captures: readonly Capture[]): readonly FuzzTarget[] {
  return [
    textTarget(throughFile, {
      name: 'capture file',
      seeds: smallFiles(),
      errors: [UserError],
      limits: { log: u8, subpage: u8, page: u16, nsid: u32 },
    }),
    ...(['ata', 'nvme', 'scsi'] as const).map((set) =>
      damagedCaptures(captures.filter(({ commandSet }) => commandSet === set)),
    ),
  ].map((target) => ({ ...target, drives: [...target.drives, ...reached] }));
}

const reached = [parseCaptureFile, formatCaptureFile, interpret, interpretAta, interpretNvme]
  .map(({ name }) => name)
  .concat(interpretScsi.name);

/** A file that is taken must come back the same from a file that is written. */
function throughFile(text: string): unknown {
  const capture = parseCaptureFile(text);
  const again = parseCaptureFile(formatCaptureFile(capture));
  if (JSON.stringify(again) !== JSON.stringify(capture)) return undefined;
  return capture.pages.map(({ data: _data, ...names }) => names);
}

/** Whole files are long; their first pages are enough for the parser of the file. */
function smallFiles(): readonly string[] {
  const worked = captureTexts().map((text) => {
    const file: { pages: { data?: string }[] } = JSON.parse(text);
    const pages = file.pages.slice(0, 2).map((page) => ({ ...page, data: short(page.data) }));
    return JSON.stringify({ ...file, pages });
  });
  const one = (page: object) =>
    JSON.stringify({ ...head, pages: [{ record: 'log', log: 4, data: 'AAAA', ...page }] });
  return [...worked, ...oddPages.map(one), JSON.stringify({ ...head, pages: Array(4097).fill(0) })];
}

const head = {
  format: 'bayward-capture',
  version: 1,
  taken: '2026-02-14T09:30:00Z',
  commandSet: 'ata',
};

/** Each with one thing that a file may not hold. */
const oddPages: readonly object[] = [
  { data: '', failed: { reason: 'It did not answer in time' } },
  { failed: { reason: 'It did not answer in time' } },
  { failed: { reason: 'A bell \u0007' } },
  { failed: { reason: 'x'.repeat(1001) } },
  { failed: { reason: ' ' } },
  { failed: [] },
  { data: 'A'.repeat(1_398_108) },
  { data: 'AAA' },
  { data: 4 },
  { log: undefined },
  { log: -1 },
  { log: 4.5 },
  { record: 7 },
  { record: 'logs' },
  { colour: 'blue' },
];

function short(data: string | undefined): string | undefined {
  return data === undefined || data === '' ? data : data.slice(0, 32);
}

const hours: Limits = { hours: { ...exact, fractions: true } };
const identity: Limits = {
  capacityBytes: exact,
  logicalBlockBytes: exact,
  physicalBlockBytes: exact,
  rotationRpm: u16,
};

/** The input chooses a capture and how its pages are damaged; reading it must never fail. */
function damagedCaptures(captures: readonly Capture[]): FuzzTarget {
  const [first] = captures;
  if (first === undefined) throw new Error('No capture to start from');
  return joinedTarget([], (input) => figuresOf(interpret(damagedCapture(captures, input))), {
    name: `interpret, ${first.commandSet}`,
    errors: [],
    share: 0.1,
    seeds: [new Uint8Array(16)],
    limits: { ...readingLimits, ...hours, ...identity },
  });
}

function figuresOf(found: ReturnType<typeof interpret>): unknown {
  const { readings, ...rest } = found;
  return { ...rest, readings: strictReadings(readings as readonly Reading[]) };
}

function damagedCapture(captures: readonly Capture[], input: Uint8Array): Capture {
  const chance = makeChance(0, Buffer.from(input).toString('latin1'));
  const capture = captures[chance.below(captures.length)] ?? captures[0];
  if (capture === undefined) throw new Error('No capture to start from');
  const damaged = capture.pages.flatMap((page): readonly RawPage[] => {
    if (chance.oneIn(12)) return [];
    if (chance.oneIn(2)) return [page];
    const mend = chance.oneIn(3) ? null : mendBlocks;
    return [{ ...page, data: damagedPage([page.data], chance, mend) }];
  });
  return { ...capture, pages: damaged };
}
