import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type KeptOfDrive, learnedOf, watchHours } from '../../../src/agent/probes/watch-hours.js';
import { absent, measured, type Reading } from '../../../src/checks/reading.js';

const hourMs = 3_600_000;

/** Keeps what each look at one drive gives, as the store does. */
class Watched {
  readonly #kept = new Map<string, KeptOfDrive>();
  #boot = 1;

  newBoot(): void {
    this.#boot += 1;
  }

  /** `count` is null where the drive slept. */
  look(atHour: number, count: number | null): readonly Reading[] {
    const now = { boot: this.#boot, monoMs: Math.round(atHour * hourMs) };
    const figure = { metric: 'hours-count', unit: 'count', source: 'test' } as const;
    const seen = count === null ? absent(figure, 'asleep', 'It sleeps') : measured(figure, count);
    const readings = [seen, ...watchHours([seen], [...this.#kept.values()], now)];
    for (const { metric, place = '', value, text, why } of readings) {
      const words = text ?? why ?? '';
      const row = { metric, place, value, text: words, boot: now.boot, lastMonoMs: now.monoMs };
      this.#kept.set(metric, row);
    }
    return readings;
  }

  value(metric: string): number | null {
    return this.#kept.get(metric)?.value ?? null;
  }

  words(): string | undefined {
    return this.#kept.get('hours-unit')?.text;
  }

  learned() {
    return learnedOf([...this.#kept.values()]).hoursUnit;
  }
}

describe('looks at a counter of minutes', () => {
  test('each four hours tell the unit after ten watched hours, and it stays', () => {
    const drive = new Watched();
    // 60 counts an hour: at 0, 4, 8 and 12 h after the first look.
    drive.look(0.25, 2_000_015);
    expect(drive.learned()).toBeUndefined();
    drive.look(4.25, 2_000_255);
    drive.look(8.25, 2_000_495);
    expect(drive.words()).toBe('Not told yet: it was watched for less than 10 hours');
    drive.look(12.25, 2_000_735);
    expect(drive.learned()).toBe('minutes');
    expect(drive.words()).toBe(
      'minutes: learned by watching 12 powered-on hours, in which it grew by 720',
    );
    drive.newBoot();
    drive.look(0.2, 9);
    expect(drive.learned()).toBe('minutes');
    expect(drive.value('hours-count-watched')).toBe(12 * 3600);
  });

  test.each<readonly [string, (drive: Watched) => void, number]>([
    ['the box was off', (drive) => drive.newBoot(), 0],
    ['the drive was found asleep', (drive) => drive.look(6, null), 0],
    ['nobody looked for more than 12 hours', (drive) => drive.look(24.1, 9000), 0],
    ['the counter was set back', (drive) => drive.look(6, 3), 0],
    ['the clock stood still', (drive) => drive.look(4, 1240), 0],
  ])('time does not count over which %s', (_name, happens, expected) => {
    const drive = new Watched();
    drive.look(0, 1000);
    drive.look(4, 1240);
    const before = drive.value('hours-count-watched') ?? 0;
    happens(drive);
    expect((drive.value('hours-count-watched') ?? 0) - before).toBe(expected);
  });

  test('a stretch goes on from look to look and ends with what breaks it', () => {
    const drive = new Watched();
    drive.look(0, 0);
    drive.look(2, 120);
    drive.look(4, 240);
    expect(drive.value('hours-count-stretches')).toBe(1);
    drive.look(6, null);
    drive.look(8, 470);
    expect(drive.value('hours-count-stretches')).toBe(1);
    drive.look(10, 590);
    expect(drive.value('hours-count-stretches')).toBe(2);
    drive.newBoot();
    drive.look(1, 1000);
    drive.look(3, 1120);
    expect(drive.value('hours-count-stretches')).toBe(3);
    expect(drive.value('hours-count-growth')).toBe(120 + 120 + 120 + 120);
  });
});

test('a counter that jumped once is watched anew after a hundred hours', () => {
  const drive = new Watched();
  drive.look(0, 0);
  drive.look(4, 900_000);
  // The look at 100 h finds 100 watched hours that fit no unit, and the next one begins anew.
  for (let look = 2; look <= 25; look += 1) drive.look(look * 4, 900_000 + look * 240);
  expect(drive.words()).toBe('Cannot be told: its growth fits no unit that is known here');
  for (let look = 26; look <= 28; look += 1) drive.look(look * 4, 900_000 + look * 240);
  expect(drive.learned()).toBe('minutes');
});

test('a drive whose bare count is not read is not watched', () => {
  expect(watchHours([], [], { boot: 1, monoMs: 0 })).toEqual([]);
});

/** One boot: hours between looks, and the looks at which the drive sleeps. */
const looks = fc.array(
  fc.record({
    gapHours: fc.double({ min: 0.1, max: 9, noNaN: true }),
    sleeps: fc.boolean(),
  }),
  { minLength: 1, maxLength: 12 },
);

test('whatever the boots, sleeps and lateness, never a wrong unit is learned', () => {
  const units = fc.constantFrom(
    ['hours', 3600] as const,
    ['half hours', 1800] as const,
    ['minutes', 60] as const,
    ['half minutes', 30] as const,
    ['seconds', 1] as const,
  );
  const life = fc.record({
    unit: units,
    start: fc.integer({ min: 0, max: 3_000_000 }),
    clock: fc.double({ min: 0.985, max: 1.015, noNaN: true }),
    /** How late, in seconds, the drive writes its count down. */
    lateness: fc.integer({ min: 0, max: 3600 }),
    boots: fc.array(looks, { minLength: 1, maxLength: 15 }),
  });
  fc.assert(
    fc.property(life, ({ unit: [name, seconds], start, clock, lateness, boots }) => {
      const drive = new Watched();
      let onHours = 0;
      for (const boot of boots) {
        let bootHours = 0;
        for (const { gapHours, sleeps } of boot) {
          bootHours += gapHours;
          onHours += gapHours;
          const written = Math.max(0, onHours * 3600 * clock - lateness * ((gapHours * 7) % 1));
          const count = start + Math.floor(written / seconds);
          drive.look(bootHours, sleeps ? null : count);
        }
        drive.newBoot();
        // Somebody uses the drive elsewhere while this box is off.
        onHours += 5;
      }
      expect([undefined, name]).toContain(drive.learned());
    }),
    { numRuns: 300 },
  );
});
