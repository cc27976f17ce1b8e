import { expect, test } from 'vitest';
import { buildStatusReport } from '../../src/agent/status-report.js';
import type { BootRow, EventRow, LatestReading, PartRow } from '../../src/agent/store/rows.js';
import type { StoreReader } from '../../src/agent/store/store.js';
import type { Finding } from '../../src/checks/finding.js';
import type { AgentStatus } from '../../src/checks/request.js';
import { renderStatus } from '../../src/cli/render-status.js';

const now = 1_709_280_000_000;
const minuteMs = 60_000;

function reading(
  metric: string,
  value: number | null,
  more: Partial<LatestReading> = {},
): LatestReading {
  return {
    seriesId: 1,
    boot: 3,
    monoMs: 0,
    wallMs: now - 12 * minuteMs,
    lastMonoMs: 0,
    lastWallMs: now - 12 * minuteMs,
    state: value === null ? 'no-figure' : 'measured',
    value,
    low: null,
    high: null,
    text: '',
    metric,
    place: '',
    unit: 'count',
    source: 'a record',
    firstValue: value,
    firstWallMs: now,
    ...more,
  };
}

const disk: PartRow = {
  id: 1,
  kind: 'drive',
  identityKey: 'wwn:5f0c2d000052ef48',
  name: 'TS80052HV4',
  label: 'Tolvane Stillwater 8T',
  details: { serial: 'TS80052HV4', reachedBy: 'ata' },
  firstBoot: 1,
  firstWallMs: now,
  lastSeen: { boot: 3, monoMs: 0, wallMs: now },
};

const virtualDisk: PartRow = {
  ...disk,
  id: 2,
  identityKey: 'virtual:0000:00:02.0',
  name: 'virtual-disk-00-02-0',
  label: '',
  details: { serial: '', reachedBy: 'virtual' },
};

const boot: BootRow = {
  id: 3,
  bootId: 'boot-3',
  startedWall: now - 3_600_000,
  wallTrusted: true,
  lastMonoMs: 3_600_000,
  lastWallMs: now - 5 * 3_600_000,
};

const finding: Finding = {
  id: 7,
  code: 'too-warm',
  subject: 'TS80052HV4',
  place: '',
  state: 'open',
  urgency: 'soon',
  measured: 57,
  expected: 55,
  unit: 'celsius',
  source: 'the drive’s own limit',
  evidence: [],
  nextStep: 'Look whether the fan in front of it turns',
  openedBoot: 3,
  openedMonoMs: 0,
  openedWallMs: now,
  clearedBoot: null,
  clearedWallMs: null,
  clearedWhy: null,
  acknowledged: false,
  accountedFor: false,
};

interface Stored {
  readonly parts?: readonly PartRow[];
  readonly latest?: Readonly<Record<number, readonly LatestReading[]>>;
  readonly findings?: readonly Finding[];
  readonly events?: readonly EventRow[];
}

function reader({ parts = [], latest = {}, findings = [], events = [] }: Stored): StoreReader {
  const unused = () => {
    throw new Error('The report does not need this');
  };
  return {
    writerPresent: true,
    boots: () => [boot],
    parts: () => parts,
    partByName: unused,
    latest: (id: number) => latest[id] ?? [],
    series: unused,
    readings: unused,
    findings: () => findings,
    speeds: unused,
    burnIns: unused,
    journal: unused,
    rawPages: unused,
    newestPages: unused,
    jobs: unused,
    events: () => events,
    logReadTo: unused,
    controllerLog: unused,
    close: unused,
  } as StoreReader;
}

const agent: AgentStatus = {
  version: '0.1.0',
  processId: 1,
  boot: 3,
  bootMs: 3_600_000,
  wallMs: now,
  running: [],
  limits: [],
  inventoryRemarks: [],
  modelFile: null,
  machine: {
    hostName: 'reading-room',
    board: null,
    processor: 'Harrowgate four-core (invented)',
    memoryBytes: 16_000_000_000,
    kernel: 'Linux 6.1.0',
  },
  emptyWhy: { fans: 'No fan input: reasons', drives: 'The kernel shows no disk at all' },
};

function driveSentences(latest: readonly LatestReading[]): readonly string[] {
  const store = reader({ parts: [disk], latest: { 1: latest } });
  const report = buildStatusReport(store, agent, { nowWallMs: now });
  return report.groups[0]?.parts[0]?.sentences ?? [];
}

test('a drive is named by bay and last four, and its figures stand in sentences', () => {
  const store = reader({
    parts: [disk],
    latest: {
      1: [
        reading('drive-verdict', 0, { unit: 'code' }),
        reading('temperature', 34, { unit: 'celsius' }),
        reading('temperature-limit', 60, { unit: 'celsius' }),
        reading('reallocated-sectors', 8, { unit: 'sectors', firstValue: 8 }),
        reading('pending-sectors', 0, { unit: 'sectors' }),
        reading('interface-crc-errors', 57, { firstValue: 12 }),
        reading('power-on-hours', 31_840, { unit: 'hours' }),
        reading('power-cycles', 212),
        reading('sata-link-speed', 3e9, { unit: 'bits-per-second' }),
        reading('sata-link-speed-possible', 6e9, { unit: 'bits-per-second' }),
      ],
    },
  });
  const report = buildStatusReport(store, agent, { nowWallMs: now, bayOf: () => '3' });
  const part = report.groups[0]?.parts[0];
  expect(part?.name).toBe('Bay 3 · 2HV4');
  expect(part?.sentences).toEqual([
    'The drive itself does not say that it is failing.',
    '34 °C, 26 °C below its own limit of 60 °C.',
    'Reallocated sectors (5): 8, no change since 1 March 2024.',
    'Interface CRC errors (199): 57, 45 more since 1 March 2024, first seen at 12.',
    'Counted at zero: pending sectors.',
    '31\u202f840 power-on hours, switched on 212 times.',
    'SATA link at 3 Gb/s, where both ends can do 6 Gb/s.',
    'Last read 12 min ago.',
  ]);
});

test('a failing verdict and a temperature above the limit are said as they are', () => {
  const said = driveSentences([
    reading('drive-verdict', 1, { unit: 'code' }),
    reading('temperature', 63, { unit: 'celsius' }),
    reading('temperature-limit', 60, { unit: 'celsius' }),
  ]);
  expect(said[0]).toBe('The drive itself says that it is failing.');
  expect(said[1]).toBe('63 °C, 3 °C above its own limit of 60 °C.');
});

test('a drive that the kernel gave up, overdue commands and a drive behind a bridge are told', () => {
  const said = driveSentences([
    reading('drive-behind-bridge', 1, { unit: 'code', text: 'Tolvane Archive 4000, serial T2' }),
    reading('kernel-drive-state', 2, { unit: 'code', text: 'the kernel gave it up' }),
    reading('kernel-timeouts', 3),
  ]);
  expect(said.slice(0, 2)).toEqual([
    'Behind the USB bridge of this name answers Tolvane Archive 4000, serial T2.',
    'The kernel gave it up; the kernel gave up waiting for 3 of its commands.',
  ]);
  const sound = driveSentences([
    reading('kernel-drive-state', 0, { unit: 'code', text: 'the kernel sends it requests' }),
    reading('kernel-timeouts', 0),
  ]);
  expect(sound).toEqual(['Last read 12 min ago.']);
});

test('a drive with nothing read is never called good', () => {
  expect(driveSentences([])).toEqual(['Nothing has been read from it yet.']);
});

test('a sleeping drive is said to sleep, with the age of its records', () => {
  const said = driveSentences([
    reading('temperature', null, { state: 'asleep', lastWallMs: now - 2 * minuteMs }),
    reading('power-on-hours', 900, { lastWallMs: now - 3 * 3_600_000 }),
  ]);
  expect(said.at(-1)).toBe(
    'Asleep when last looked at, 2 min ago, and not woken; last read 3 h ago.',
  );
});

test('a reading from the future says that the calendar was set', () => {
  const said = driveSentences([reading('power-on-hours', 900, { lastWallMs: now + 3_600_000 })]);
  expect(said.at(-1)).toBe('Last read at a time that the calendar does not allow to tell.');
});

test('what is not visible stands with its reason, once for each reason', () => {
  const why = 'Virtual disk: the host of this virtual machine provides it';
  const hidden = { state: 'not-visible', text: why } as const;
  const store = reader({
    parts: [virtualDisk],
    latest: { 2: [reading('temperature', null, hidden), reading('power-on-hours', null, hidden)] },
  });
  const part = buildStatusReport(store, agent, { nowWallMs: now }).groups[0]?.parts[0];
  expect(part?.label).toBe('Virtual disk');
  expect(part?.absences).toEqual([
    'Not visible for temperature, power-on hours: virtual disk: the host of this virtual machine provides it.',
  ]);
});

test('a part that was not found in this boot is said to be gone', () => {
  const lost = { ...disk, lastSeen: { boot: 2, monoMs: 0, wallMs: now - 26 * 3_600_000 } };
  const report = buildStatusReport(reader({ parts: [lost] }), agent, { nowWallMs: now });
  expect(report.groups[0]?.parts[0]).toMatchObject({ present: false });
  expect(report.groups[0]?.parts[0]?.sentences[0]).toBe(
    'It was not found in this boot; last seen 1 d 2 h ago.',
  );
});

test('findings come by urgency, and each with its next step', () => {
  const findings = [
    { ...finding, id: 1, urgency: 'for-the-record' as const },
    { ...finding, id: 2, urgency: 'today' as const },
    { ...finding, id: 3 },
  ];
  const report = buildStatusReport(reader({ parts: [disk], findings }), agent, { nowWallMs: now });
  expect(report.findings.map(({ id }) => id)).toEqual([2, 3, 1]);
  expect(report.findings[0]?.title).toMatch(/^Drive … 2HV4: /);
  expect(report.findings[0]?.nextStep).toBe('Look whether the fan in front of it turns');
});

test('without an agent the report says since when, and empty groups do not invent a reason', () => {
  const report = buildStatusReport(reader({}), null, { nowWallMs: now });
  expect(report.agent).toEqual({
    answers: false,
    sentence:
      'The agent does not answer; it last stored something 5 h ago. What follows is from then.',
    stoppedSinceWallMs: now - 5 * 3_600_000,
  });
  expect(report.groups[0]?.emptyWhy).toBe(
    'None is stored, and the agent does not answer to say why',
  );
  const bare = buildStatusReport(null, null, { nowWallMs: now });
  expect(bare.agent.sentence).toBe('The agent does not answer, and nothing has been stored yet.');
});

test('plain text names each part once, empty groups with their reason, and running work', () => {
  const report = buildStatusReport(
    reader({ parts: [disk], latest: { 1: [reading('temperature', 34, { unit: 'celsius' })] } }),
    {
      ...agent,
      running: [
        {
          kind: 'burn-in',
          run: 4,
          drive: 'TS80052HV4',
          stage: 'full-read',
          state: 'running',
          erases: true,
          doneBytes: 25,
          totalBytes: 100,
          bytesPerSecond: 180e6,
          secondsLeft: 7_200,
          errors: 0,
        },
      ],
    },
    { nowWallMs: now },
  );
  const text = renderStatus(report).join('\n');
  expect(text).toContain(
    'Box reading-room: Harrowgate four-core (invented), 16 GB of memory, Linux 6.1.0.',
  );
  expect(text).toContain('  No finding is open.');
  expect(text).toContain(
    '  Erasing burn-in of TS80052HV4 (run 4), full read, running, 25 % done, 180 MB/s, about 2 h left.',
  );
  expect(text.match(/TS80052HV4$/gm)?.length).toBe(1);
  expect(text).toContain('  No fan input: reasons.');
  expect(text).toContain('Network cards\n  None was found; the agent gave no reason.');
  expect(text).not.toContain('The kernel shows no disk at all');
});

test('what happened is told with the part, the place and how long ago', () => {
  const event: EventRow = {
    id: 9,
    partId: disk.id,
    at: { boot: 3, monoMs: 0, wallMs: now - 12 * minuteMs },
    kind: 'medium-error',
    positionBytes: 2_097_152,
    text: 'A place could not be read: the medium is bad there',
    record: 'critical medium error, dev sdb, sector 4096 op 0x0:(READ)',
  };
  const lost: EventRow = {
    ...event,
    partId: null,
    kind: 'log-gap',
    positionBytes: null,
    text: '7 lines were overwritten',
    record: '',
  };
  const report = buildStatusReport(reader({ parts: [disk], events: [event, lost] }), agent, {
    nowWallMs: now,
  });
  expect(report.happened?.map(({ part, ageMs, record }) => [part, ageMs, record])).toEqual([
    ['TS80052HV4', 12 * minuteMs, 'critical medium error, dev sdb, sector 4096 op 0x0:(READ)'],
    [null, 12 * minuteMs, ''],
  ]);
  const text = renderStatus(report).join('\n');
  expect(text).toContain(
    'Happened lately\n  Drive … 2HV4: A place could not be read: the medium is bad there, at 2.1 MB from its start, 12 min ago.\n  7 lines were overwritten, 12 min ago.',
  );
  expect(text).not.toContain('sdb');
});

test('drives without a name of their own are called by their id, with the reason and a next step', () => {
  const shared: PartRow = {
    ...disk,
    identityKey: `${disk.identityKey}@0000:00:17.0/port-1`,
    name: 'TS80052HV4-at-00-17-0-port-1',
    details: { ...disk.details, duplicateIdentity: true },
  };
  const report = buildStatusReport(reader({ parts: [shared] }), null, { nowWallMs: now });
  const part = report.groups.flatMap(({ parts }) => parts).at(0);
  expect(part?.name).toBe('TS80052HV4-at-00-17-0-port-1');
  expect(part?.identityDoubt?.kind).toBe('shared');
  const text = renderStatus(report).join('\n');
  expect(text).toContain('Another drive here tells the same name, serial “TS80052HV4”');
  expect(text).toContain('Compare the labels of both');
});
