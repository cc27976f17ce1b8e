import { describe, expect, it } from 'vitest';
import type { BurnInRow, JournalRow, SpeedRow } from '../../src/agent/store/rows.js';
import { parseModel } from '../../src/checks/model/parse.js';
import { ageWords, roughLength } from '../../src/checks/moments.js';
import { findUser } from '../../src/checks/page-user.js';
import type { RunningWork } from '../../src/checks/request.js';
import { historyLines } from '../../src/web/history.js';
import { partTitle, withBays } from '../../src/web/part-name.js';
import { partSentence } from '../../src/web/part-sentence.js';
import { wholeNumber } from '../../src/web/query.js';
import { latestRuns, runsOf } from '../../src/web/speeds.js';
import { doneShare, trialOf } from '../../src/web/trials.js';
import { boot, hourMs, latest, minuteMs, part } from './rows.js';

const drive = part();
const firstWallMs = Date.UTC(2026, 0, 5, 12);

describe('partSentence', () => {
  it.each([
    ['nothing read', [], 'Nothing has been read from it yet.'],
    [
      'warmth with and without a limit',
      [latest('temperature', 31), latest('temperature-limit', 60)],
      '31 °C, 29 °C below its own limit of 60 °C.',
    ],
    ['no limit', [latest('temperature', 31)], '31 °C, its limit is not known.'],
    [
      'above the limit',
      [latest('temperature', 63), latest('temperature-limit', 60)],
      '63 °C, 3 °C above its own limit of 60 °C.',
    ],
    ['asleep', [latest('temperature', null, { state: 'asleep' })], 'Asleep.'],
    [
      'wear of a solid-state drive',
      [
        latest('endurance-used', 7, { unit: 'percent' }),
        latest('spare-left', 95, { unit: 'percent' }),
        latest('spare-limit', 10, { unit: 'percent' }),
      ],
      '7 % of its endurance used, 95 % of its spare left (its limit is 10 %).',
    ],
    ['no damage', [latest('reallocated-sectors', 0)], 'No damage in 1 counter.'],
    [
      'damage that never moved',
      [latest('reallocated-sectors', 8, { firstWallMs })],
      'Reallocated sectors (5): 8, no change since 5 January 2026.',
    ],
    [
      'damage that grew',
      [latest('reallocated-sectors', 12, { firstValue: 8, firstWallMs })],
      'Reallocated sectors (5): 12, 4 more since 5 January 2026, first seen at 8.',
    ],
    [
      'a counter that went back',
      [latest('reallocated-sectors', 2, { firstValue: 8, firstWallMs })],
      'Reallocated sectors (5): 2, 6 fewer since 5 January 2026, first seen at 8.',
    ],
    [
      'counters that cannot be read',
      [latest('reallocated-sectors', null)],
      'No damage counter could be read.',
    ],
    [
      'its own verdict first',
      [latest('temperature', 31), latest('drive-verdict', 1)],
      'The drive itself says that it is failing · 31 °C, its limit is not known.',
    ],
  ])('%s', (_name, readings, sentence) => {
    expect(partSentence(drive, readings)).toBe(sentence);
  });

  it('says why a drive is hidden instead of showing figures', () => {
    const hidden = part({ details: { notVisibleWhy: 'Virtual disk' } });
    expect(partSentence(hidden, [latest('temperature', null)])).toBe('Not visible: virtual disk.');
  });

  it('says at which rate a network card runs and what it could', () => {
    const card = part({ kind: 'network-card' });
    const unit = 'bits-per-second';
    const rates = [
      latest('network-rate', 1e9, { unit }),
      latest('network-rate-possible', 10e9, { unit }),
    ];
    expect(partSentence(card, rates)).toBe(
      'Network link at 1 Gb/s, where both ends can do 10 Gb/s.',
    );
  });

  it('says what a network card holds in its plug, and how much light comes in', () => {
    const card = part({ kind: 'network-card' });
    const place = 'light received';
    const read = [
      latest('network-rate', 10e9, { unit: 'bits-per-second' }),
      latest('network-module', 1, { text: 'SFP LARKSPUR LS-10G-SR' }),
      latest('optical-power', 512, { place, unit: 'microwatts' }),
    ];
    expect(partSentence(card, read)).toBe(
      'Network link at 10 Gb/s · module in its plug: SFP LARKSPUR LS-10G-SR · light received 512 µW.',
    );
  });
});

describe('partTitle', () => {
  const nbsp = '\u00a0';

  it('is the model and the last four of the serial', () => {
    expect(partTitle(drive).replaceAll(nbsp, ' ')).toBe('Larkspur LK-40 · 310A');
  });

  it('starts with the bay that the model file gives', () => {
    const text = '[[drive]]\nserial = "LK7-3310A"\ncapacity = "4 TB"\nbay = "3"\n';
    const parsed = parseModel(text, 'box.toml');
    const model = 'model' in parsed ? parsed.model : null;
    const [named] = withBays([drive], model);
    expect(named && partTitle(named).replaceAll(nbsp, ' ')).toBe('Bay 3 · Larkspur LK-40 · 310A');
  });

  it('is never a kernel letter', () => {
    const bare = part({ label: '', details: { kernelName: 'sdb' } });
    expect(partTitle(bare)).toBe('Drive without a model name');
  });
});

describe('ageWords', () => {
  const now = 1_000_000_000_000;
  it.each([
    [30_000, 'just now'],
    [90_000, '1 min ago'],
    [47 * hourMs, '47 h ago'],
    [48 * hourMs, '2 days ago'],
    [-30_000, 'just now'],
    [-2 * minuteMs, 'date unclear'],
  ])('%i ms ago', (ageMs, words) => {
    expect(ageWords(now - ageMs, now)).toBe(words);
  });

  it('has no negative lengths', () => {
    expect(roughLength(-5000)).toBe('0 s');
  });
});

describe('wholeNumber', () => {
  it.each(['', '-1', '1.5', '1e3', ' 1', '0x10', '99999999999', 'abc'])('refuses "%s"', (text) => {
    expect(wholeNumber(text, { from: 0, to: 1_000_000 })).toBeNull();
  });

  it('takes what is in range', () => {
    expect(wholeNumber('30', { from: 1, to: 30 })).toBe(30);
    expect(wholeNumber('31', { from: 1, to: 30 })).toBeNull();
  });
});

describe('historyLines', () => {
  const boots = [boot(1, 0, hourMs), boot(2, 10 * hourMs, 2 * hourMs)];

  it('lists boots and the time off between them, newest first', () => {
    const lines = historyLines(boots, { times: new Map(), silenceMsMax: hourMs });
    expect(
      lines.map(({ kind, boot: id, toMs, fromMs }) => [kind, id, (toMs - fromMs) / hourMs]),
    ).toEqual([
      ['on', 2, 2],
      ['off', 1, 9],
      ['on', 1, 1],
    ]);
  });

  it('finds a stretch without readings, and none where nothing was ever read', () => {
    const reads = new Map([[2, [0, 10 * minuteMs, 80 * minuteMs, 120 * minuteMs]]]);
    const gaps = historyLines(boots, { times: reads, silenceMsMax: 45 * minuteMs }).filter(
      ({ kind }) => kind === 'agent-gap',
    );
    expect(gaps).toHaveLength(1);
    expect(gaps[0]?.fromMs).toBe(10 * hourMs + 10 * minuteMs);
    expect(gaps[0]?.toMs).toBe(10 * hourMs + 80 * minuteMs);
  });

  it('says nothing of a time before the readings that it was given', () => {
    const times = new Map([[2, [90 * minuteMs, 100 * minuteMs]]]);
    const kinds = (fromWallMs: number) =>
      historyLines(boots, { times, fromWallMs, silenceMsMax: 45 * minuteMs })
        .filter(({ kind }) => kind === 'agent-gap')
        .map(({ fromMs }) => (fromMs - 10 * hourMs) / minuteMs);
    expect(kinds(10 * hourMs + 85 * minuteMs)).toEqual([]);
    expect(kinds(0)).toEqual([0]);
  });
});

describe('trialOf', () => {
  const at = { boot: 1, monoMs: 0, wallMs: 0 };
  const row: BurnInRow = {
    run: 4,
    partId: 1,
    drive: 'LK7-3310A',
    erases: false,
    state: 'running',
    started: at,
    updated: at,
    seed: '',
    plan: {},
    verdict: null,
  };
  const entry = (
    body: Record<string, unknown>,
    kind: JournalRow['kind'] = 'progress',
  ): JournalRow => ({
    entry: 1,
    run: 4,
    kind,
    at,
    body,
  });
  const work: RunningWork = {
    kind: 'burn-in',
    run: 4,
    drive: 'LK7-3310A',
    stage: 'full-read',
    state: 'running',
    erases: false,
    doneBytes: 50,
    totalBytes: 100,
    bytesPerSecond: null,
    secondsLeft: null,
    errors: 0,
  };

  it('marks the stages of a run that only reads', () => {
    const { stages } = trialOf(row, [], [work]);
    expect(stages.map(({ standing }) => standing)).toEqual([
      'done',
      'now',
      'not part of this run',
      'not part of this run',
      'to come',
    ]);
  });

  it('says which stages a stopped run did not reach', () => {
    const { stages } = trialOf({ ...row, state: 'stopped' }, [entry({ stage: 'full-read' })], []);
    expect(stages.at(-1)?.standing).toBe('not reached');
  });

  it('never says of a stage that was only begun, or passed over, that it is done', () => {
    const journal = [
      entry({ stage: 'readings-before', readings: [] }, 'result'),
      entry({ stage: 'full-read' }),
      entry({ event: 'stopped', by: 'person', text: 'Stopped by request' }, 'event'),
      entry({ stage: 'readings-after', readings: [] }, 'result'),
      entry({ verdict: { advice: 'return' } }, 'result'),
    ];
    const { stages } = trialOf({ ...row, erases: true, state: 'stopped' }, journal, []);
    expect(stages.map(({ standing }) => standing)).toEqual([
      'done',
      'done in part',
      'not reached',
      'not reached',
      'done',
    ]);
  });

  it('counts each place once per kind, and what was not listed', () => {
    const journal = [
      entry({ stage: 'full-read', errors: [{ lba: 8, kind: 'unreadable' }] }),
      entry({
        stage: 'verify',
        errors: [
          { lba: 8, kind: 'unreadable' },
          { lba: 9, kind: 'stale' },
        ],
      }),
      entry({ stage: 'verify', errors: [], unlisted: { stale: 40 } }),
    ];
    expect(trialOf(row, journal, []).errors).toEqual([
      { kind: 'unreadable', count: 1, firstLbas: [8] },
      { kind: 'stale', count: 41, firstLbas: [9] },
    ]);
  });

  it('leaves out journal bodies that it does not understand', () => {
    const journal = [entry({ errors: 'many' }), entry({ errors: [{ lba: 'x', kind: 'odd' }] })];
    expect(trialOf(row, journal, []).errorCount).toBe(0);
  });

  it('tells what changed the course of the run', () => {
    const journal = [
      entry({ event: 'paused', by: 'heat', text: 'Paused: the drive is at 58 °C' }, 'event'),
    ];
    expect(trialOf(row, journal, []).happenings.map(({ text }) => text)).toEqual([
      'Paused: the drive is at 58 °C',
    ]);
  });

  it('has no share done without work or without a size', () => {
    expect(doneShare(null)).toBeNull();
    expect(doneShare({ ...work, totalBytes: 0 })).toBeNull();
    expect(doneShare(work)).toBe(0.5);
  });
});

describe('runs of speed', () => {
  const row = (run: number, place: number, verdict: SpeedRow['verdict']): SpeedRow => ({
    id: run * 100 + place,
    partId: 1,
    at: { boot: 1, monoMs: 0, wallMs: run },
    run,
    path: 'drive:LK7-3310A',
    direction: 'read',
    streams: 1,
    place,
    bytesPerSecond: 1,
    low: 1,
    high: 1,
    seconds: 1,
    conditions: { temperature: null, otherLoad: null, linkSpeed: null, lanes: null },
    complete: true,
    verdict,
  });

  it('takes the newest run with its places in order', () => {
    const runs = latestRuns([row(2, 50, 'met'), row(1, 0, 'short'), row(2, 0, 'met')]);
    expect(runs.map(({ run, rows }) => [run, rows.map(({ place }) => place)])).toEqual([
      [2, [0, 50]],
    ]);
  });

  it.each([
    [['met', 'met'], 'met'],
    [['met', 'short'], 'short'],
    [['met', 'unknown'], 'unknown'],
    [['unknown', 'short'], 'short'],
  ] as const)('%j is together %s', (verdicts, together) => {
    const rows = verdicts.map((verdict, index) => row(1, index, verdict));
    expect(runsOf(rows)[0]?.verdict).toBe(together);
  });
});

describe('findUser', () => {
  const passwd =
    'root:x:0:0:root:/root:/bin/sh\nnobody:x:65534:65534::/:/bin/false\ntoor:x:0:0::/:\n';

  it('takes the first that exists and is not root', () => {
    expect(findUser(passwd, ['bayward', 'nobody'])).toEqual({
      name: 'nobody',
      userId: 65534,
      groupId: 65534,
    });
    expect(findUser(passwd, ['toor'])).toBeNull();
    expect(findUser('', ['nobody'])).toBeNull();
  });
});
