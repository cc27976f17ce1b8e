import { formatValue } from '../units.js';
import { atMost, type CodeWords, copyFirst, grownWords, type Told } from './told.js';

/** Bits of the NVMe critical warning (NVMe 1.4 figure 93, from memory). */
const warningBits: readonly (readonly [number, string])[] = [
  [1, 'its spare is nearly used up'],
  [2, 'its temperature is beyond its limits'],
  [4, 'it is no longer reliable'],
  [8, 'it only lets itself be read'],
  [16, 'its power-loss protection has failed'],
];

/** Words of findings about a drive itself. */
export const driveWords: Readonly<Record<string, CodeWords>> = {
  'drive-says-failing': {
    title: 'the drive says that it is failing',
    sentence: () => 'The drive’s own verdict is that it is failing or will fail soon.',
    expected: () => 'Expected: the drive’s own verdict is that it is not failing.',
    nextStep: () =>
      `${copyFirst}. Then replace the drive; a failing verdict is a reason for return or warranty.`,
  },
  'drive-warns': {
    title: 'the drive raises a warning',
    sentence: ({ measured }) => `The drive warns that ${warningWords(measured)}.`,
    expected: () => 'Expected: no warning.',
    nextStep: ({ measured }) =>
      measured === 2
        ? 'Let air reach the drive and look whether its fan turns; look again after an hour.'
        : `${copyFirst}. Then plan its replacement.`,
  },
  'self-test-failed': {
    title: 'the last self-test failed',
    sentence: () => 'The drive’s last self-test ended with a failure.',
    expected: () => 'Expected: the last self-test ends without a failure.',
    nextStep: () =>
      `${copyFirst}. Then replace the drive, or return it while you may; keep the evidence sheet.`,
  },
  'endurance-spent': {
    title: 'the endurance that the drive is made for is used up',
    sentence: ({ measured, unit }) =>
      `By its own reckoning the drive has used ${formatValue(measured, unit)} of the endurance that it is made for. That is wear and no fault: such drives often work on for long.`,
    expected: ({ expected, unit }) => `Expected: below ${formatValue(expected, unit)}.`,
    nextStep: () =>
      'Plan its replacement and keep a second copy of what lies on it; look whether its spare shrinks or errors come. Account for this finding when planned.',
  },
  'surface-damage-grew': {
    title: 'surface damage grew',
    sentence: (told) =>
      `The drive has more damaged places than when it was first seen here: ${grownWords(told)}.`,
    expected: atMost,
    nextStep: () =>
      `${copyFirst}. Then watch whether it grows on; growing damage is a reason for return or replacement.`,
  },
  'place-unreadable': {
    title: 'a place of the drive could not be read',
    sentence: ({ measured, evidence }) =>
      `The kernel’s log tells ${measured === 1 ? 'once' : `${formatValue(measured, 'count')} times`} of a place that could not be read or written${whereOnDrive(evidence)}.`,
    expected: () => 'Expected: every place can be read.',
    nextStep: () =>
      `${copyFirst}. An array heals such a place from its other members when it is compared; a single drive loses what lay there. Another one soon is a reason for return or replacement. Account for this finding when done.`,
  },
  'power-was-lost': {
    title: 'the drive lost power while the box was on',
    sentence: (told) =>
      `The drive had to park its heads in an emergency more often than the box was started: ${grownWords(told)}.`,
    expected: ({ expected, unit }) =>
      `Expected: at most ${formatValue(expected, unit)}, one per start of the box.`,
    nextStep: () =>
      'With the box switched off and unplugged, look at the power lead of this drive and its plugs, above all splitters and moulded ones; feed fewer drives per lead. Account for this finding when done.',
  },
  'answers-late': {
    title: 'commands were overdue',
    sentence: (told) => `The drive did not answer commands in time: ${grownWords(told)}.`,
    expected: atMost,
    nextStep: () =>
      `${copyFirst}. Then check its power lead and data cable with the box switched off, and look whether it grows on.`,
  },
  'too-warm': {
    title: 'the drive is too warm',
    sentence: ({ measured, unit, evidence }) =>
      `The drive is at ${formatValue(measured, unit)}${limitWords(evidence, unit)}.`,
    expected: ({ expected, unit }) =>
      `Expected: below ${formatValue(expected, unit)}, which is 5 degrees under its own limit.`,
    nextStep: () =>
      'Stop long work on this drive, look whether its fan turns and air can pass, and let it cool before going on.',
  },
  'drive-slow': {
    title: 'the drive reads slower than it should',
    sentence: ({ measured, unit, evidence }) =>
      `In two runs running the drive read at ${formatValue(measured, unit)}${placeWords(evidence)}.`,
    expected: ({ expected, unit, source }) =>
      `Expected: at least ${formatValue(expected, unit)} (${source}).`,
    nextStep: () =>
      'Look at the other findings of this drive and its link first. Then measure once more while nothing else uses it; if one place stays slow, its surface may be weak there.',
  },
};

function warningWords(measured: number | null): string {
  const bits = measured !== null && Number.isInteger(measured) && measured > 0 ? measured : 0;
  const known = warningBits.filter(([bit]) => Math.floor(bits / bit) % 2 === 1);
  if (known.length === 0) return 'something is wrong (a warning that is not known here)';
  return known.map(([, text]) => text).join(', and ');
}

function limitWords(evidence: Told['evidence'], unit: Told['unit']): string {
  const limit = evidence.find((row) => row.label === 'The drive’s own limit');
  return limit === undefined ? '' : `, its own limit is ${formatValue(limit.value, unit)}`;
}

function placeWords(evidence: Told['evidence']): string {
  const places = evidence.filter((row) => row.label.endsWith(', newest run')).length;
  return places > 1
    ? ` at the slowest of ${places} places below what is expected`
    : ' at one place';
}

function whereOnDrive(evidence: Told['evidence']): string {
  const known = evidence.filter(({ value, unit }) => value !== null && unit === 'bytes');
  const places = known.map(({ value }) => formatValue(value, 'bytes'));
  return places.length === 0 ? '' : `, at ${[...new Set(places)].join(', ')} from its start`;
}
