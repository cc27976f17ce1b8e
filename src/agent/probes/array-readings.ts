import { arrayWorks, mayFailAtLevel } from '../../checks/array-state.js';
import { mdProtectionWords } from '../../checks/protection-words.js';
import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';
import { type MdMemberFiles, memberReadings } from './md-members.js';
import { copiesOfLayout, notKnown, parseSyncPosition } from './parse-arrays.js';
import { wholeNumber } from './read-kernel.js';

/** Files of one md array as the kernel gives them; null where a file is absent or silent. */
export interface MdFiles {
  readonly level: string | null;
  readonly raidDisks: string | null;
  readonly layout: string | null;
  readonly arrayState: string | null;
  readonly degraded: string | null;
  readonly syncAction: string | null;
  readonly syncCompleted: string | null;
  readonly syncSpeed: string | null;
  readonly mismatches: string | null;
  readonly lastWork: string | null;
  readonly members: readonly MdMemberFiles[];
}

/** Source: Linux Documentation/admin-guide/md.rst, array_state. */
const mdStates: readonly { readonly word: string; readonly text: string }[] = [
  { word: 'clear', text: 'no members and no size' },
  { word: 'inactive', text: 'not started: requests fail' },
  { word: 'suspended', text: 'requests are held back' },
  { word: 'readonly', text: 'read-only' },
  { word: 'read-auto', text: 'read-only until something is written' },
  { word: 'clean', text: 'running, nothing written just now' },
  { word: 'active', text: 'running, written to just now' },
  { word: 'write-pending', text: 'running, about to be written to' },
  { word: 'active-idle', text: 'running, written to a moment ago' },
  { word: 'broken', text: 'failed: too many members are gone' },
];

const noRedundancy =
  'An array of this level keeps no second copy, so the kernel tells no such thing';

export function mdReadings(files: MdFiles): readonly Reading[] {
  return [
    protection(files),
    wordReading({ metric: 'array-state', unit: 'code', source: 'Kernel file array_state' }, files),
    countReading('array-members-missing', { text: files.degraded, file: 'degraded', files }),
    mayStillFail(files),
    workReading(files),
    ...progress(files),
    mismatches(files),
    ...lastWork(files),
    ...files.members.flatMap((member) => memberReadings(member, files.syncAction)),
  ];
}

/** Small changes of state between writes mean nothing by themselves, so those share one code. */
function wordReading(figure: Figure, { arrayState }: MdFiles): Reading {
  const index = mdStates.findIndex(({ word }) => word === arrayState);
  const state = mdStates[index];
  if (state === undefined) return absent(figure, 'no-figure', notKnown('array_state', arrayState));
  const running = ['clean', 'active', 'write-pending', 'active-idle'].includes(state.word);
  return running ? measured(figure, 0, 'running') : measured(figure, index + 1, state.text);
}

interface CountFile {
  readonly text: string | null;
  readonly file: string;
  readonly files: MdFiles;
}

function countReading(metric: string, { text, file, files }: CountFile): Reading {
  const figure: Figure = { metric, unit: 'count', source: `Kernel file ${file}` };
  const count = wholeNumber(text ?? '');
  if (count !== null && count >= 0) return measured(figure, count);
  const why = text === null && hasNoCopies(files) ? noRedundancy : notKnown(file, text);
  return absent(figure, 'no-figure', why);
}

/** What the layout bears with all members there; "RAID 6 of 5 members, any two may fail". */
function protection(files: MdFiles): Reading {
  const figure: Figure = {
    metric: 'array-protection',
    unit: 'count',
    source: 'Kernel files level, raid_disks and layout',
  };
  const may = mayFailWhenWhole(files);
  if (may === null || files.level === null) return absent(figure, 'no-figure', unknownLevel(files));
  const members = wholeNumber(files.raidDisks ?? '');
  return measured(figure, may, mdProtectionWords(files.level, { members, mayFail: may }));
}

function mayFailWhenWhole({ level, raidDisks, layout }: MdFiles): number | null {
  const members = wholeNumber(raidDisks ?? '');
  if (level === null || members === null || members < 1) return null;
  const copies = copiesOfLayout(wholeNumber(layout ?? ''));
  return mayFailAtLevel(level, { members, copies });
}

function unknownLevel({ level, raidDisks }: MdFiles): string {
  const members = wholeNumber(raidDisks ?? '');
  const isTold = level !== null && members !== null && members >= 1;
  return isTold ? notKnown('level', level) : 'Its level or its number of members is not told';
}

function mayStillFail(files: MdFiles): Reading {
  const figure: Figure = {
    metric: 'array-may-still-fail',
    unit: 'count',
    source: 'Kernel files level, raid_disks, layout and degraded',
  };
  const degraded = hasNoCopies(files) ? 0 : wholeNumber(files.degraded ?? '');
  if (degraded === null) return absent(figure, 'no-figure', notKnown('degraded', files.degraded));
  const may = mayFailWhenWhole(files);
  if (may === null) return absent(figure, 'no-figure', unknownLevel(files));
  return measured(figure, Math.max(0, may - degraded));
}

function workReading(files: MdFiles): Reading {
  const figure: Figure = { metric: 'array-work', unit: 'code', source: 'Kernel file sync_action' };
  const work = arrayWorks.find(({ word }) => word === files.syncAction);
  if (work !== undefined) return measured(figure, work.code, work.text);
  if (files.syncAction === null && hasNoCopies(files)) return measured(figure, 0, 'nothing');
  return absent(figure, 'no-figure', notKnown('sync_action', files.syncAction));
}

/** Position and speed are told only while something is done to the whole array. */
function progress({ syncCompleted, syncSpeed }: MdFiles): readonly Reading[] {
  const position = parseSyncPosition(syncCompleted);
  if (position === null) return [];
  const { doneSectors, totalSectors } = position;
  const percent = (doneSectors / totalSectors) * 100;
  const source = 'Kernel file sync_completed';
  const done = measured({ metric: 'array-work-done', unit: 'percent', source }, percent);
  const kibibytesPerSecond = wholeNumber(syncSpeed ?? '');
  if (kibibytesPerSecond === null || kibibytesPerSecond <= 0) return [done];
  const bytesPerSecond = kibibytesPerSecond * 1024;
  const seconds = ((totalSectors - doneSectors) * 512) / bytesPerSecond;
  const rate: Figure = {
    metric: 'array-work-rate',
    unit: 'bytes-per-second',
    source: 'Kernel file sync_speed, average of 30 s',
  };
  return [
    done,
    measured(rate, bytesPerSecond),
    measured({ metric: 'array-work-left', unit: 'seconds', source }, Math.round(seconds)),
  ];
}

/** The kernel counts whole pages, so the figure is an upper bound (admin-guide/md.rst). */
function mismatches(files: MdFiles): Reading {
  const figure: Figure = {
    metric: 'array-mismatches',
    unit: 'sectors',
    source: 'Kernel file mismatch_cnt, of the newest comparison, counted in whole pages',
  };
  const count = wholeNumber(files.mismatches ?? '');
  if (count !== null && count >= 0) return measured(figure, count);
  const why = hasNoCopies(files) ? noRedundancy : notKnown('mismatch_cnt', files.mismatches);
  return absent(figure, 'no-figure', why);
}

function lastWork({ lastWork: word }: MdFiles): readonly Reading[] {
  const work = arrayWorks.find((one) => one.word === word);
  if (work === undefined) return [];
  const source = 'Kernel file last_sync_action';
  return [measured({ metric: 'array-last-work', unit: 'code', source }, work.code, work.text)];
}

function hasNoCopies({ level }: MdFiles): boolean {
  return level === 'raid0' || level === 'linear';
}
