import { describe, expect, it } from 'vitest';
import { placeBoots } from '../../src/web/boot-places.js';
import { seriesColumns } from '../../src/web/series.js';
import { thinColumns } from '../../src/web/series-thin.js';
import { boot, figure, hourMs, minuteMs } from './rows.js';

const startMs = 1_000_000_000_000;
const period = { periodMs: 5 * minuteMs };
const second = (ms: number) => (startMs + ms) / 1000;

describe('seriesColumns', () => {
  it('gives the figures of one boot at their moments', () => {
    const rows = [figure(1, 0, 20), figure(1, 5 * minuteMs, 21)];
    expect(seriesColumns(rows, [boot(1, startMs, hourMs)], period)).toEqual({
      x: [second(0), second(5 * minuteMs)],
      y: [20, 21],
      low: [20, 21],
      high: [20, 21],
      gaps: [],
    });
  });

  it('breaks the line where the box was off and says so', () => {
    const boots = [boot(1, startMs, 10 * minuteMs), boot(2, startMs + 2 * hourMs, hourMs)];
    const rows = [figure(1, 10 * minuteMs, 20), figure(2, minuteMs, 15)];
    const { y, gaps } = seriesColumns(rows, boots, period);
    expect(y).toEqual([20, null, 15]);
    expect(gaps).toEqual([{ from: second(10 * minuteMs), to: second(2 * hourMs), why: 'box off' }]);
  });

  it('breaks the line after more than three periods without a reading, not after three', () => {
    const boots = [boot(1, startMs, hourMs)];
    const near = [figure(1, 0, 20), figure(1, 15 * minuteMs, 21)];
    const far = [figure(1, 0, 20), figure(1, 15 * minuteMs + 1, 21)];
    expect(seriesColumns(near, boots, period).gaps).toEqual([]);
    expect(seriesColumns(far, boots, period).y).toEqual([20, null, 21]);
    expect(seriesColumns(far, boots, period).gaps[0]?.why).toBe('no reading');
  });

  it('parts a silence before switching off and after switching on from the time off', () => {
    const boots = [boot(1, startMs, hourMs), boot(2, startMs + 2 * hourMs, hourMs)];
    const rows = [figure(1, 0, 20), figure(2, 40 * minuteMs, 21)];
    expect(seriesColumns(rows, boots, period).gaps).toEqual([
      { from: second(0), to: second(hourMs), why: 'no reading' },
      { from: second(hourMs), to: second(2 * hourMs), why: 'box off' },
      { from: second(2 * hourMs), to: second(2 * hourMs + 40 * minuteMs), why: 'no reading' },
    ]);
  });

  it.each([
    ['asleep', 'asleep'],
    ['not-visible', 'not visible'],
    ['no-figure', 'no figure'],
  ] as const)('shows %s as a gap until the next figure', (state, why) => {
    const absent = figure(1, 5 * minuteMs, null, { state, lastMonoMs: 20 * minuteMs });
    const rows = [figure(1, 0, 20), absent, figure(1, 25 * minuteMs, 24)];
    const { y, gaps } = seriesColumns(rows, [boot(1, startMs, hourMs)], period);
    expect(y).toEqual([20, null, 24]);
    expect(gaps).toEqual([{ from: second(5 * minuteMs), to: second(25 * minuteMs), why }]);
  });

  it('never makes a zero of an absence', () => {
    const rows = [figure(1, 0, null), figure(1, minuteMs, null, { state: 'asleep' })];
    const { x, y } = seriesColumns(rows, [boot(1, startMs, hourMs)], period);
    expect([x, y]).toEqual([[], []]);
  });

  it('holds a counter from the start of its row to the end', () => {
    const rows = [figure(1, 0, 7, { lastMonoMs: 40 * minuteMs })];
    const { x, y } = seriesColumns(rows, [boot(1, startMs, hourMs)], period);
    expect([x, y]).toEqual([
      [second(0), second(40 * minuteMs)],
      [7, 7],
    ]);
  });

  it('puts a mean in the middle of its hour, with its lowest and highest', () => {
    const mean = figure(1, 0, 22, { lastMonoMs: hourMs, low: 20, high: 25 });
    const found = seriesColumns([mean], [boot(1, startMs, hourMs)], period);
    expect([found.x, found.y, found.low, found.high]).toEqual([
      [second(hourMs / 2)],
      [22],
      [20],
      [25],
    ]);
  });

  it('leaves out rows of boots that nobody knows', () => {
    expect(seriesColumns([figure(9, 0, 1)], [boot(1, startMs, hourMs)], period).x).toEqual([]);
  });

  it('keeps x ascending when two figures carry one moment', () => {
    const rows = [figure(1, 0, 1), figure(1, 0, 2), figure(1, 0, 3)];
    const { x } = seriesColumns(rows, [boot(1, startMs, hourMs)], period);
    expect(new Set(x).size).toBe(3);
    expect([...x].sort((a, b) => a - b)).toEqual(x);
  });
});

describe('placeBoots', () => {
  it('lets a clock that was put right date the whole boot', () => {
    const reset = { ...boot(1, 0, hourMs), lastWallMs: startMs + hourMs };
    expect(placeBoots([reset]).get(1)).toEqual({ startMs, endMs: startMs + hourMs });
  });

  it('puts a boot without a trusted clock between its neighbours', () => {
    const boots = [
      boot(1, startMs, hourMs),
      boot(2, 0, 10 * minuteMs, false),
      boot(3, startMs + 5 * hourMs, hourMs),
    ];
    const place = placeBoots(boots).get(2);
    expect(place?.startMs).toBe(startMs + hourMs + 1000);
    expect(place?.endMs).toBe(startMs + hourMs + 1000 + 10 * minuteMs);
  });

  it('keeps an untrusted boot where it fits', () => {
    const boots = [
      boot(1, startMs, hourMs),
      boot(2, startMs + 2 * hourMs, 10 * minuteMs, false),
      boot(3, startMs + 5 * hourMs, hourMs),
    ];
    expect(placeBoots(boots).get(2)?.startMs).toBe(startMs + 2 * hourMs);
  });

  it('moves an earlier boot that claims a later date before the boot that follows it', () => {
    const boots = [boot(1, startMs + 900 * hourMs, hourMs), boot(2, startMs, hourMs)];
    const places = placeBoots(boots);
    expect(places.get(2)?.startMs).toBe(startMs);
    expect(places.get(1)?.endMs).toBe(startMs - 1000);
  });
});

describe('thinColumns', () => {
  const columns = (y: readonly (number | null)[]) => ({
    x: y.map((_, index) => index),
    y,
    low: y,
    high: y,
    gaps: [],
  });

  it('leaves short columns alone', () => {
    const short = columns([1, 2, 3]);
    expect(thinColumns(short, 3)).toBe(short);
  });

  it('keeps a single peak, a single dip and a single gap among thousands', () => {
    const y: (number | null)[] = Array.from({ length: 9000 }, () => 30);
    y[4321] = 71;
    y[7000] = 2;
    y[100] = null;
    const thin = thinColumns(columns(y), 300);
    expect(thin.x.length).toBeLessThanOrEqual(300);
    expect(thin.y).toContain(71);
    expect(thin.y).toContain(2);
    expect(thin.y).toContain(null);
    expect([...thin.x].sort((a, b) => a - b)).toEqual(thin.x);
  });
});
