import { describe, expect, it } from 'vitest';
import { type Answer, answered } from '../../../src/agent/box/box.js';
import { makeDriveGate, type Work } from '../../../src/agent/box/drive-gate.js';

/** Timers that fire when told, and work that returns when told. */
function handWound() {
  const timers = new Set<{ ms: number; fire: () => void }>();
  const gate = makeDriveGate((ms, fire) => {
    const timer = { ms, fire };
    timers.add(timer);
    return () => timers.delete(timer);
  });
  const started: string[] = [];
  function work(name: string, deadlineMs = 1000) {
    let finish: (answer: Answer<string>) => void = () => undefined;
    const returning = new Promise<Answer<string>>((resolve) => {
      finish = resolve;
    });
    const job: Work<string> = {
      name,
      deadlineMs,
      run: () => {
        started.push(name);
        return returning;
      },
    };
    return { job, finish: () => finish(answered(name)) };
  }
  function passDeadlines() {
    for (const timer of [...timers]) {
      timers.delete(timer);
      timer.fire();
    }
  }
  return { gate, work, started, timers, passDeadlines };
}

const settled = () => new Promise((resolve) => setImmediate(resolve));
const kindOf = (answer: Answer<unknown>) => (answer.ok ? 'ok' : answer.absence.kind);

describe('the gate before each drive', () => {
  it('lets one command at a time through, in order', async () => {
    const { gate, work, started } = handWound();
    const [first, second, third] = [work('first'), work('second'), work('third')];
    const answers = [first, second, third].map(({ job }) => gate.command('a', job));
    await settled();
    expect(started).toEqual(['first']);
    first.finish();
    await settled();
    expect(started).toEqual(['first', 'second']);
    second.finish();
    third.finish();
    expect(await Promise.all(answers)).toEqual(['first', 'second', 'third'].map(answered));
  });

  it('gives each command its whole deadline from its own start', async () => {
    const { gate, work, timers } = handWound();
    const first = work('first', 700);
    void gate.command('a', first.job);
    void gate.command('a', work('second', 900).job);
    expect([...timers].map((timer) => timer.ms)).toEqual([700]);
    first.finish();
    await settled();
    expect([...timers].map((timer) => timer.ms)).toEqual([900]);
  });

  it('answers an overdue command, refuses those behind it and those that come', async () => {
    const { gate, work, started, passDeadlines } = handWound();
    const silent = work('IDENTIFY DEVICE');
    const overdue = gate.command('a', silent.job);
    const behind = gate.command('a', work('SMART READ DATA').job);
    passDeadlines();
    expect(kindOf(await overdue)).toBe('timed-out');
    const refused = await behind;
    expect(kindOf(refused)).toBe('busy');
    expect(refused.ok ? '' : refused.absence.text).toBe(
      'Not asked for SMART READ DATA: IDENTIFY DEVICE has still not been answered',
    );
    expect(kindOf(await gate.command('a', work('later').job))).toBe('busy');
    expect(kindOf(await gate.transfer('a', work('reading').job))).toBe('busy');
    expect(started).toEqual(['IDENTIFY DEVICE']);
  });

  it('lets the drive be asked again once the old call has returned', async () => {
    const { gate, work, passDeadlines } = handWound();
    const silent = work('silent');
    const overdue = gate.command('a', silent.job);
    passDeadlines();
    await overdue;
    silent.finish();
    await settled();
    const again = work('again');
    const answer = gate.command('a', again.job);
    again.finish();
    expect(kindOf(await answer)).toBe('ok');
  });

  it('keeps one drive apart from another', async () => {
    const { gate, work, passDeadlines } = handWound();
    const silent = [1, 2, 3, 4, 5].map((drive) => gate.command(`drive ${drive}`, work('x').job));
    passDeadlines();
    expect((await Promise.all(silent)).map(kindOf)).toEqual(Array(5).fill('timed-out'));
    const healthy = work('healthy');
    const answer = gate.command('drive 6', healthy.job);
    healthy.finish();
    expect(kindOf(await answer)).toBe('ok');
  });

  it('runs transfers beside each other; two overdue ones both have to return', async () => {
    const { gate, work, started, passDeadlines } = handWound();
    const [one, two] = [work('reading'), work('reading')];
    const answers = [gate.transfer('a', one.job), gate.transfer('a', two.job)];
    expect(started).toEqual(['reading', 'reading']);
    passDeadlines();
    expect((await Promise.all(answers)).map(kindOf)).toEqual(['timed-out', 'timed-out']);
    one.finish();
    await settled();
    expect(kindOf(await gate.transfer('a', work('third').job))).toBe('busy');
    two.finish();
    await settled();
    const third = work('third');
    const answer = gate.transfer('a', third.job);
    third.finish();
    expect(kindOf(await answer)).toBe('ok');
  });

  it('turns work that throws into an absence and opens the queue again', async () => {
    const { gate, work } = handWound();
    const broken: Work<string> = {
      name: 'broken',
      deadlineMs: 1000,
      run: () => {
        throw new Error('a fault of ours');
      },
    };
    const answer = await gate.command('a', broken);
    expect(kindOf(answer)).toBe('aborted');
    const next = work('next');
    const after = gate.command('a', next.job);
    next.finish();
    expect(kindOf(await after)).toBe('ok');
  });

  it('leaves no timer behind', async () => {
    const { gate, work, timers } = handWound();
    const one = work('one');
    const answer = gate.command('a', one.job);
    one.finish();
    await answer;
    expect(timers.size).toBe(0);
  });
});
