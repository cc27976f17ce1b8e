import { afterEach, beforeEach, expect, test } from 'vitest';
import { DriveCautions } from '../../src/agent/drive-cautions.js';
import { type TemporaryStore, temporaryStore } from './store/temporary-store.js';

let room: TemporaryStore;
beforeEach(() => {
  room = temporaryStore();
});
afterEach(() => room.remove());

const why = 'The drive left a command unanswered in this boot, so its long logs are not asked for';
const cautions = (boot: number) =>
  new DriveCautions({ clock: room.clock, store: room.store, boot });

test('an unanswered command is remembered over a restart, and forgotten at the next boot', () => {
  const boot = room.store.beginBoot('boot-1', room.clock.wallMs());
  const first = cautions(boot);
  expect(first.whyNotRare('LM8K0A1207')).toBe(null);
  first.noteTimeOut('LM8K0A1207');
  expect(first.whyNotRare('LM8K0A1207')).toBe(why);
  expect(first.whyNotRare('TS80052HV4')).toBe(null);

  room.reopen();
  expect(cautions(boot).whyNotRare('LM8K0A1207')).toBe(why);

  const next = room.store.beginBoot('boot-2', room.clock.wallMs());
  const later = cautions(next);
  expect(later.whyNotRare('LM8K0A1207')).toBe(null);
  later.noteTimeOut('LM8K0A1207');
  expect(cautions(next).whyNotRare('LM8K0A1207')).toBe(why);
});

test('it is written once in a boot, however many follow', () => {
  const boot = room.store.beginBoot('boot-1', room.clock.wallMs());
  const one = cautions(boot);
  room.clock.mono = 5_000;
  one.noteTimeOut('LM8K0A1207');
  room.clock.mono = 9_000;
  one.noteTimeOut('LM8K0A1207');
  expect(room.store.jobs()).toEqual([
    expect.objectContaining({ job: 'unanswered:LM8K0A1207', lastBoot: boot, lastMonoMs: 5_000 }),
  ]);
});
