import { expect, test } from 'vitest';
import { noTimes, slowPlaces, surfaceCurve, withTimes } from '../../src/checks/surface-times.js';

/** A pass over 100 thousandths at 100 bytes per second, but for the given ones. */
function pass(rates: Readonly<Record<number, number>> = {}, seconds = 2) {
  const places = Array.from({ length: 100 }, (_, place) => ({
    place,
    bytes: (rates[place] ?? 100) * seconds,
    seconds,
  }));
  return withTimes(noTimes, places);
}

test('times of a place add up, and the curve is in order of place', () => {
  const times = withTimes(withTimes(noTimes, [{ place: 7, bytes: 100, seconds: 1 }]), [
    { place: 7, bytes: 300, seconds: 1 },
    { place: 2, bytes: 50, seconds: 0.5 },
  ]);
  expect(surfaceCurve(times)).toEqual([
    { place: 2, bytesPerSecond: 100 },
    { place: 7, bytesPerSecond: 200 },
  ]);
  expect(withTimes(times, undefined)).toBe(times);
});

test('a place without time has no rate', () => {
  expect(surfaceCurve(withTimes(noTimes, [{ place: 0, bytes: 100, seconds: 0 }]))).toEqual([]);
});

test('a place is slow only below a quarter of its neighbours, in both passes, for a second', () => {
  expect(slowPlaces(pass({ 50: 24 }), pass({ 50: 20 }))).toBe(1);
  expect(slowPlaces(pass({ 50: 26 }), pass({ 50: 20 }))).toBe(0);
  expect(slowPlaces(pass({ 50: 24 }), pass())).toBe(0);
  expect(slowPlaces(pass({ 50: 24 }), pass({ 51: 24 }))).toBe(0);
  expect(slowPlaces(pass({ 50: 24 }, 0.5), pass({ 50: 24 }, 0.5))).toBe(0);
  expect(slowPlaces(pass(), pass())).toBe(0);
  expect(slowPlaces(noTimes, noTimes)).toBe(0);
});

test('the natural fall towards the inner edge is not slow', () => {
  const falling = Object.fromEntries(
    Array.from({ length: 100 }, (_, place) => [place, 200 - place]),
  );
  expect(slowPlaces(pass(falling), pass(falling))).toBe(0);
});
