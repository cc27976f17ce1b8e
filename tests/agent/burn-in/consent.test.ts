import { expect, test } from 'vitest';
import { type ConsentFacts, refusals } from '../../../src/agent/burn-in/consent.js';
import { MemoryDrive } from './memory-drive.js';
import { makeTrialBox, settle, untilQuiet } from './trial-box.js';

const drive = new MemoryDrive({ sizeBytes: 1024 * 1024 }).seen;

/** A person at the box who typed the right digits for a blank, unused drive. */
const allowed: ConsentFacts = {
  drive,
  erases: true,
  inUse: [],
  holdsData: false,
  isSystemDrive: false,
  otherRun: null,
  look: { found: [], placesLookedAt: 10 },
  askedFrom: 'box',
  pageMayErase: false,
  digits: '9021',
  eraseFound: null,
  namedByPath: false,
};

const found = [
  { name: 'ext', words: 'ext2, ext3 or ext4 file system', atByte: 1080 },
  { name: 'unknown-data', words: 'data of unknown kind', atByte: 0 },
];
const withData = { look: { found, placesLookedAt: 10 } };
const noSerial = { drive: { ...drive, serial: '', capacityBytes: 1_048_576 }, namedByPath: true };

const codes = (facts: Partial<ConsentFacts>) =>
  refusals({ ...allowed, ...facts }).map(({ code }) => code);

test('only a blank or known, unused drive whose digits were typed is erased', () => {
  expect(codes({})).toEqual([]);
});

test.each<[string, Partial<ConsentFacts>, string[]]>([
  ['mounted', { inUse: ['It is mounted'] }, ['in-use']],
  ['the system drive', { isSystemDrive: true }, ['system-drive']],
  ['holding data by the model', { holdsData: true }, ['holds-data']],
  ['one of two', { drive: { ...drive, duplicateIdentity: true } }, ['duplicate-identity']],
  [
    'known by its place alone',
    { drive: { ...drive, identityKey: 'place:0000:00:14.0/usb-2-1/Generic' } },
    ['placeholder-serial'],
  ],
  ['already in a run', { otherRun: 4 }, ['already-running']],
  ['without capacity', { drive: { ...drive, capacityBytes: 0 } }, ['no-capacity']],
  ['asked for from the page', { askedFrom: 'page' }, ['not-from-page']],
  ['not looked at', { look: null }, ['not-looked-at']],
  ['full of unknown data', withData, ['holds-unknown-data']],
  ['agreed to in part', { ...withData, eraseFound: 'ext' }, ['holds-unknown-data']],
  [
    'agreed to in excess',
    { ...withData, eraseFound: 'ext unknown-data gpt' },
    ['holds-unknown-data'],
  ],
  ['agreed to by a plain yes', { ...withData, eraseFound: 'yes' }, ['holds-unknown-data']],
  ['without digits', { digits: null }, ['digits-needed']],
  ['with three digits', { digits: '021' }, ['digits-wrong']],
  ['with other digits', { digits: '9022' }, ['digits-wrong']],
  ['with blanks for digits', { digits: '    ' }, ['digits-wrong']],
  [
    'without a serial, by a name',
    { ...noSerial, namedByPath: false, digits: '8576' },
    ['no-serial'],
  ],
  ['without a serial, by other digits', { ...noSerial, digits: '9021' }, ['digits-wrong']],
])('a drive %s is refused', (_what, facts, expected) => {
  expect(codes(facts)).toEqual(expected);
});

test('a drive known by its place alone may be read all the same', () => {
  const byPlace = { ...drive, identityKey: 'place:0000:00:14.0/usb-2-1/Generic' };
  expect(codes({ drive: byPlace, erases: false })).toEqual([]);
});

test.each<[string, Partial<ConsentFacts>]>([
  ['the page, where the model file allows it', { askedFrom: 'page', pageMayErase: true }],
  ['the names of all that was found', { ...withData, eraseFound: 'unknown-data, ext' }],
  ['more digits than needed, in small letters', { digits: ' lk4t9021 ' }],
  ['a path and the last digits of the size', { ...noSerial, digits: '8576' }],
])('%s is enough', (_what, facts) => {
  expect(codes(facts)).toEqual([]);
});

test('no consent lifts a standing reason', () => {
  const all = { ...withData, eraseFound: 'ext unknown-data', inUse: ['It is mounted'] };
  expect(codes(all)).toEqual(['in-use']);
  expect(codes({ ...all, isSystemDrive: true, holdsData: true })).toEqual([
    'system-drive',
    'holds-data',
    'in-use',
  ]);
});

test('reading only needs no digits and no second consent, but an unused drive without data', () => {
  expect(codes({ erases: false, digits: null, look: null, askedFrom: 'page' })).toEqual([]);
  expect(codes({ erases: false, inUse: ['It is mounted'] })).toEqual(['in-use']);
  expect(codes({ erases: false, holdsData: true })).toEqual(['holds-data']);
});

test('what is refused never tells the digits that a person must read from the label', () => {
  const texts = refusals({ ...allowed, digits: null, inUse: ['It is mounted'], ...withData });
  expect(JSON.stringify(texts)).not.toContain('9021');
});

const erase = { drive: 'LK4T9021', erase: true, digits: '9021', askedFrom: 'box' } as const;

test.each<[string, Parameters<typeof makeTrialBox>[0], Partial<typeof erase> | object, string]>([
  ['in use', { parts: { inUse: async () => ['It is mounted'] } }, {}, 'in-use'],
  ['with data by the model', { parts: { holdsData: () => true } }, {}, 'holds-data'],
  ['from the page', {}, { askedFrom: 'page' }, 'not-from-page'],
  ['by wrong digits', {}, { digits: '0000' }, 'digits-wrong'],
])('the engine refuses a drive %s and leaves every byte', async (_what, options, asked, code) => {
  const trial = makeTrialBox(options);
  const before = Buffer.from(trial.drive.bytes);
  await expect(trial.engine.start({ ...erase, ...asked })).rejects.toMatchObject({
    code,
    exitCode: 4,
  });
  await settle();
  expect(trial.store.rows).toEqual([]);
  expect(trial.drive.writes).toEqual([]);
  expect(Buffer.compare(before, trial.drive.bytes)).toBe(0);
});

test('data that shows up after the look is met by the full read and nothing is written', async () => {
  const trial = makeTrialBox({
    parts: {
      takeReadings: async () => {
        trial.drive.bytes.set(Buffer.from('a letter'), 700_000);
        return [];
      },
    },
  });
  await trial.engine.start(erase);
  await untilQuiet(trial, 1);
  expect(trial.drive.writes).toEqual([]);
  expect(trial.store.rows[0]).toMatchObject({
    state: 'stopped',
    verdict: { advice: 'not-fully-tested' },
  });
  const stop = trial.store.entries.find(({ body }) => body.event === 'stopped');
  // 700 000 / 512 = 1367.2, so the sector begins at byte 699 904.
  expect(stop?.body).toMatchObject({
    by: 'protection',
    text: 'Data of unknown kind stands at byte 699904, and nobody agreed to erase it',
  });
});

test('data that shows up before the writing is met by the child itself', async () => {
  const trial = makeTrialBox();
  const append = trial.store.appendJournal.bind(trial.store);
  trial.store.appendJournal = (...row) => {
    const body = row[3] as { stage?: string; outcome?: string };
    if (body.stage === 'full-read' && body.outcome === 'complete') {
      trial.drive.bytes.set(Buffer.from('a letter'), 700_000);
    }
    return append(...row);
  };
  await trial.engine.start(erase);
  await untilQuiet(trial, 1);
  expect(trial.drive.writes).toEqual([]);
  expect(trial.store.entries.at(-1)?.body).toMatchObject({
    event: 'interrupted',
    code: 'holds-unknown-data',
  });
});
