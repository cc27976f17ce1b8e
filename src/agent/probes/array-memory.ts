import { memberStates, onlyDuringWork } from '../../checks/array-state.js';
import { metricInfo } from '../../checks/metrics.js';
import { absent, measured, type Reading } from '../../checks/reading.js';
import { checkSeen, type KeptOfArray, type LookNow } from './array-check-seen.js';

/**
 * Adds what the kernel does not keep, from what was kept before: members that it lists no more,
 * when a check was seen from its start to its end, and that figures of work are over. Readings of
 * an array and its kept figures in, readings out. Pure.
 */
export function withArrayMemory(
  readings: readonly Reading[],
  kept: readonly KeptOfArray[],
  now: LookNow,
): readonly Reading[] {
  const isMd = readings.some(({ metric }) => metric === 'array-mismatches');
  const named = isMd ? withNamesOfDeparted(readings, kept) : readings;
  const all = [
    ...named,
    ...(isMd ? departed(named, kept) : []),
    ...(isMd ? checkSeen(named, kept, now) : []),
  ];
  return [...all, ...endedWork(all, kept)];
}

function statePlaces(readings: readonly { metric: string; place?: string }[]): readonly string[] {
  return readings.flatMap(({ metric, place }) =>
    metric === 'array-member-state' && place !== undefined ? [place] : [],
  );
}

function departedPlaces(
  readings: readonly Reading[],
  kept: readonly KeptOfArray[],
): readonly KeptOfArray[] {
  const places = statePlaces(readings);
  return kept.filter(
    ({ metric, place, value }) =>
      metric === 'array-member-state' &&
      place !== '' &&
      value !== memberStates.left &&
      !places.includes(place),
  );
}

/** A member whose drive the kernel does not show any more is called by its place alone. */
function isNameless(place: string): boolean {
  return place.startsWith('member ');
}

/** One drive went and one member lost its name: they are the same. */
function withNamesOfDeparted(
  readings: readonly Reading[],
  kept: readonly KeptOfArray[],
): readonly Reading[] {
  const nameless = statePlaces(readings).filter(isNameless);
  const wasThere = departedPlaces(readings, kept).filter(
    ({ place, value }) =>
      !isNameless(place) && value !== memberStates.missing && value !== memberStates.spare,
  );
  const [from, to] = [nameless[0], wasThere[0]?.place];
  if (nameless.length !== 1 || wasThere.length !== 1 || from === undefined || to === undefined) {
    return readings;
  }
  return readings.map((one) => (one.place === from ? { ...one, place: to } : one));
}

/** Members by what was kept of them: missing while the array is degraded, else they have left. */
function departed(readings: readonly Reading[], kept: readonly KeptOfArray[]): readonly Reading[] {
  const missing = readings.find(({ metric }) => metric === 'array-members-missing')?.value ?? null;
  const isDegraded = missing !== null && missing > 0;
  return departedPlaces(readings, kept).map(({ place, value }) => {
    const figure = {
      metric: 'array-member-state',
      unit: 'code',
      place,
      source: 'The array lists it no more; it did at an earlier look',
    } as const;
    const isMissed = isDegraded && value !== memberStates.spare && !isNameless(place);
    return isMissed
      ? measured(figure, memberStates.missing, 'missing, it was a member before')
      : measured(figure, memberStates.left, 'no longer a member');
  });
}

/** A figure of work that is over must not stand there as if it were of now. */
function endedWork(readings: readonly Reading[], kept: readonly KeptOfArray[]): readonly Reading[] {
  const told = new Set(readings.map(({ metric }) => metric));
  return onlyDuringWork.flatMap((metric) => {
    const wasKept = kept.some((one) => one.metric === metric);
    if (told.has(metric) || !wasKept) return [];
    const { unit } = metricInfo(metric);
    const figure = { metric, unit, source: 'Kernel file sync_action' };
    return [absent(figure, 'no-figure', 'Nothing of the kind is done to the whole array now')];
  });
}
