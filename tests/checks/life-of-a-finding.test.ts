import { describe, expect, it } from 'vitest';
import { checkPart } from '../../src/checks/catalogue.js';
import type { Look, Moment, SeriesHistory, SpeedLook } from '../../src/checks/check.js';
import type { Finding, FindingChange } from '../../src/checks/finding.js';
import { judge } from '../../src/checks/judge.js';
import { metricInfo } from '../../src/checks/metrics.js';
import { hourMs, makeInput, speed, startWallMs } from './make-check-input.js';

/** A drive whose figures are functions of the day; it is on from 9 to 15 o'clock each day. */
interface Plan {
  readonly celsius?: (day: number, hour: number) => number;
  readonly pending?: (day: number) => number;
  readonly reallocated?: (day: number) => number;
  /** Reading speed at each of three places, once in three days. */
  readonly megabytes?: (day: number) => number;
  /** Day on which a person accounts for whatever is open. */
  readonly accountDay?: number;
}

interface Event {
  readonly day: number;
  readonly hour: number;
  readonly kind: FindingChange['kind'];
  readonly code: string;
}

/** Bell-like noise from -1 to 1 that is the same in every run; seed and step by Park and Miller. */
function makeNoise(seed: number): () => number {
  let state = seed;
  const uniform = () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  return () => (uniform() + uniform() + uniform()) * (2 / 3) - 1;
}

class Life {
  readonly events: Event[] = [];
  readonly #looks = new Map<string, Look[]>();
  readonly #speeds: SpeedLook[] = [];
  #findings: Finding[] = [];
  #poweredHours = 12_000;

  play(days: number, plan: Plan): readonly string[] {
    const noise = makeNoise(20_260_101);
    for (let day = 0; day < days; day += 1) {
      if (day === plan.accountDay) this.#account();
      for (let hour = 0; hour < 6; hour += 1) this.#hour({ day, hour, noise }, plan);
    }
    return this.events.map(({ day, kind, code }) => `day ${day}: ${kind} ${code}`);
  }

  #hour({ day, hour, noise }: { day: number; hour: number; noise: () => number }, plan: Plan) {
    const now = {
      boot: day + 1,
      monoMs: hour * hourMs,
      wallMs: startWallMs + (day * 24 + 9 + hour) * hourMs,
    };
    const values: Record<string, number> = {
      temperature: Math.round((plan.celsius?.(day, hour) ?? 38) + noise()),
      'temperature-limit': 60,
      'reallocated-sectors': plan.reallocated?.(day) ?? 8,
      'pending-sectors': plan.pending?.(day) ?? 0,
      'interface-crc-errors': 3,
      'emergency-head-parks': 40 + Math.floor(day / 2),
      'power-on-hours': Math.floor(this.#poweredHours),
      'sata-link-speed': 6e9,
      'sata-link-speed-possible': 6e9,
      'drive-verdict': 0,
    };
    this.#poweredHours += 1;
    for (const [metric, value] of Object.entries(values)) this.#keep(metric, { ...now, value });
    if (hour === 3 && day % 3 === 0) this.#measure(day, { now, noise, plan });
    this.#judge({ day, hour, now });
  }

  /** As a store keeps them: counters when they change, gauges each time but not for ever. */
  #keep(metric: string, { value, ...now }: Moment & { value: number }) {
    const looks = this.#looks.get(metric) ?? [];
    const last = looks.at(-1);
    const isGauge = metricInfo(metric).kind === 'gauge';
    const holds = !isGauge && last?.boot === now.boot && last.value === value;
    const kept = holds ? looks.slice(0, -1) : looks;
    const look: Look = holds
      ? { ...last, lastMonoMs: now.monoMs }
      : { ...now, state: 'measured', value };
    this.#looks.set(metric, isGauge ? [...kept.slice(-20), look] : [...kept, look]);
  }

  #measure(day: number, round: { now: Moment; noise: () => number; plan: Plan }) {
    [0, 4e12, 7.9e12].forEach((place, index) => {
      const outer = (round.plan.megabytes?.(day) ?? 200) + 3 * round.noise();
      const rate = outer * (1 - 0.22 * index) * 1e6;
      this.#speeds.push(speed(1 + day / 3, rate, { place, at: round.now }));
    });
  }

  #judge({ day, hour, now }: { day: number; hour: number; now: Moment }) {
    const results = checkPart(
      makeInput({
        series: [...this.#looks].map(([metric, looks]) => toSeries(metric, looks)),
        speeds: this.#speeds,
        findings: this.#findings,
        now,
      }),
    );
    const open = this.#findings.filter(({ state }) => state === 'open');
    for (const change of judge({ results, open, at: now })) {
      const { id = this.#findings.length + 1, ...rest } = change.finding;
      const kept = { ...rest, id };
      this.#findings = [...this.#findings.filter((one) => one.id !== id), kept];
      if (change.kind !== 'hold')
        this.events.push({ day, hour, kind: change.kind, code: kept.code });
    }
  }

  #account() {
    this.#findings = this.#findings.map((one) => ({ ...one, accountedFor: true }));
  }
}

function toSeries(metric: string, looks: readonly Look[]): SeriesHistory {
  return { metric, place: '', unit: metricInfo(metric).unit, source: 'invented', looks };
}

describe('a drive over months, six hours a day', () => {
  it('has no finding in 90 quiet days', () => {
    expect(new Life().play(90, {})).toEqual([]);
  });

  it('has one finding while it is too warm, from the second reading on', () => {
    const life = new Life();
    const celsius = (day: number) => (day >= 20 && day < 23 ? 57 : 38);
    expect(life.play(40, { celsius })).toEqual(['day 20: open too-warm', 'day 23: clear too-warm']);
    expect(life.events.map(({ hour }) => hour)).toEqual([1, 2]);
  });

  it('has one finding for damage of one cause, and grows anew after it was accounted for', () => {
    const life = new Life();
    const pending = (day: number) => (day >= 30 ? 8 : 0);
    const reallocated = (day: number) => (day >= 60 ? 24 : day >= 31 ? 16 : 8);
    expect(life.play(90, { pending, reallocated, accountDay: 45 })).toEqual([
      'day 30: open surface-damage-grew',
      'day 45: clear surface-damage-grew',
      'day 60: open surface-damage-grew',
    ]);
    expect(life.events[0]).toMatchObject({ hour: 1 });
  });

  // 200 powered hours are 34 days of six hours: later than the 30 days.
  it('closes growth by itself after 30 days and 200 powered hours', () => {
    const reallocated = (day: number) => (day >= 10 ? 16 : 8);
    expect(new Life().play(60, { reallocated })).toEqual([
      'day 10: open surface-damage-grew',
      'day 43: clear surface-damage-grew',
    ]);
  });

  it('has one finding for lost speed, with the second run, and clears with two good ones', () => {
    const megabytes = (day: number) => (day >= 30 && day < 45 ? 160 : 200);
    expect(new Life().play(70, { megabytes })).toEqual([
      'day 33: open drive-slow',
      'day 48: clear drive-slow',
    ]);
  });
});
