import type { Finding } from '../finding.js';
import { madeAs, spareWords } from '../protection-words.js';
import { formatDuration, formatValue } from '../units.js';
import { atMost, type CodeWords, grownWords } from './told.js';

const rowOf = (evidence: Finding['evidence'], label: string) =>
  evidence.find((row) => row.label === label) ?? null;

const recoveryStep =
  'Have the kernel wait 180 s for each such disk, or give the disk a limit of 7 s where it takes one; both must be done anew at each start, because the disk forgets its limit when the power goes. The disk itself is not at fault.';

/** What to do about each kind of fault that a board's controller logs. */
const boardSteps: Readonly<Record<string, string>> = {
  'memory-error':
    'With the box switched off and unplugged, seat the module that the entry names again, then try it in another slot.',
  'fan-fault':
    'Look whether this fan turns; with the box switched off, look for a cable in its blades and at its plug.',
  'board-too-warm':
    'Look whether the fans turn and air can pass, and at the temperature of the room.',
  'voltage-out-of-range':
    'With the box switched off and unplugged, look at the plugs of the power supply on the board; if it comes again, use another supply.',
  'supply-fault':
    'Look at the lamp and the mains plug of the supply that the entry names. With two supplies, swap their mains leads to tell the supply from the socket; replace the supply that fails.',
  'processor-error':
    'Do no long copies now. Look at the processor’s cooling; if it comes again, have the board looked at.',
};

/** Words of findings about arrays, memory and the links of cards. */
export const partWords: Readonly<Record<string, CodeWords>> = {
  'array-stopped': {
    title: 'the array does not run',
    sentence: () =>
      'The kernel says that this array serves no requests: what lies on it is out of reach.',
    expected: () => 'Expected: the array is running.',
    nextStep: () =>
      'Change nothing on its drives: no new array, no repair, no formatting. Switch the box off, look at what its drives share (power lead, cables, card), start again; if it stays so, copy each drive whole before anything is tried.',
  },
  'array-degraded': {
    title: 'the array runs without all its members',
    sentence: ({ measured, unit, evidence }) => `${missingWords({ measured, unit, evidence })}.`,
    expected: () => 'Expected: every member is in its place.',
    nextStep: ({ evidence }) =>
      rowOf(evidence, 'Rebuilt so far') === null
        ? 'Copy off first what cannot be replaced. Find out why the member is gone (cable, power lead, drive) before another drive takes its place; read the last four of the serial on its label before anything is pulled.'
        : 'It is being rebuilt: leave the box on, pull no drive and start no long work until it has ended.',
  },
  'array-copies-disagree': {
    title: 'copies within the array disagree',
    sentence: ({ measured, unit }) =>
      `The newest comparison found up to ${formatValue(measured, unit)} sectors in which the copies disagree. The array cannot tell which copy is right.`,
    expected: () => 'Expected: all copies are alike.',
    nextStep: () =>
      'Make no repair yet: it would keep whichever copy it reads first. Look at the other findings of the members, their cables, card and memory; compare again, and restore from your second copy what turns out to be damaged.',
  },
  'array-member-errors': {
    title: 'a member of the array had errors',
    sentence: (told) => `Members had errors since they were first seen here: ${grownWords(told)}.`,
    expected: atMost,
    nextStep: () =>
      'Look at the findings of the drive that is named; with the box switched off, look at its data cable and power lead. Copy off first what cannot be replaced if another member shows trouble too. Account for this finding when done.',
  },
  'cooling-weak': {
    title: 'several drives are too warm at the same time',
    sentence: ({ measured, unit }) =>
      `${formatValue(measured, unit)} drives that share their air are near their own limits. What cools them is meant, not each drive.`,
    expected: () => 'Expected: every drive stays 5 degrees below its own limit.',
    nextStep: () =>
      'Stop long work now and let the drives cool. Look whether the fans in front of them turn and air can pass (dust, cables, a missing cover, a hot room) before going on.',
  },
  'fan-stopped': {
    title: 'a fan stands still or turns too slowly',
    sentence: ({ measured, unit, evidence }) =>
      `${evidence.at(-1)?.label.replace(/, now$/, '') ?? 'The fan'} turns at ${formatValue(measured, unit)}.`,
    expected: ({ expected, unit, source }) =>
      `Expected: at least ${formatValue(expected, unit)} (${source}).`,
    nextStep: () =>
      'Stop long work on the drives that it cools. With the box switched off and unplugged, look for a cable in its blades and at its plug, turn it by hand, and replace it when it does not run freely.',
  },
  'recovery-limit-long': {
    title: 'the disk may try longer than the kernel waits',
    sentence: ({ evidence }) =>
      `${limitsOf(evidence)}. A disk that only tries long on a bad place is then reset in the middle of it and can be thrown out of its array, though it is not failing.`,
    expected: expectedLimit,
    nextStep: () => recoveryStep,
  },
  'array-recovery-limits': {
    title: 'disks of the array may try longer than the kernel waits',
    sentence: ({ measured, unit }) =>
      `${formatValue(measured, unit)} disks of this array may try longer on a bad place than the kernel waits for them. Such a disk is reset and can be thrown out, though it is not failing.`,
    expected: () => 'Expected: no disk of the array may try longer than the kernel waits.',
    nextStep: () => recoveryStep,
  },
  'board-reports-fault': {
    title: 'the board’s controller logged a fault',
    sentence: ({ evidence }) =>
      `Its log says: ${[...new Set(evidence.map(({ label }) => label))].join('; ')}.`,
    expected: () => 'Expected: no entry that tells of a fault.',
    nextStep: ({ place }) =>
      `${boardSteps[place ?? ''] ?? 'Look at the part that the entry names.'} Account for this finding when done.`,
  },
  'memory-errors': {
    title: 'memory errors were counted',
    sentence: (told) => `The kernel counted errors in this module: ${grownWords(told)}.`,
    expected: atMost,
    nextStep: () =>
      'With the box switched off and unplugged, seat this module again; if more come, put it into another slot and see whether the errors go with it. An error beyond correction means: replace it now, and do no long copies before. Account for this finding when done.',
  },
  'pci-errors-grew': {
    title: 'errors on its PCI link',
    sentence: (told) => `Errors came on the link between card and slot: ${grownWords(told)}.`,
    expected: atMost,
    nextStep: () =>
      'With the box switched off and unplugged, take the card out, clean its contacts and seat it again; then try another slot and see whether the errors go with the card. Account for this finding when done.',
  },
  'sas-link-errors-grew': {
    title: 'a port of the card keeps counting damaged words',
    sentence: (told) => `The card goes on counting errors on its cables: ${grownWords(told)}.`,
    expected: atMost,
    nextStep: () =>
      'With the box switched off, reseat the cable of the phy that is named at both ends; if it counts on, use another cable, then another port. The cable or the backplane is meant, not the drive. Account for this finding when done.',
  },
};

function missingWords({
  measured,
  unit,
  evidence,
}: Pick<Finding, 'measured' | 'unit' | 'evidence'>): string {
  const may = rowOf(evidence, 'Members that may still fail')?.value ?? null;
  const done = rowOf(evidence, 'Rebuilt so far');
  const members = evidence.map(({ label }) => label).filter((label) => label.includes(': '));
  const made = evidence.find(({ label }) => label.startsWith(madeAs))?.label ?? null;
  return [
    made,
    unit === 'code'
      ? 'The pool says that members are missing'
      : `${made === null ? 'M' : 'm'}issing: ${formatValue(measured, unit)}`,
    ...members,
    may === null ? null : spareWords(may),
    done === null ? null : `rebuilt so far ${formatValue(done.value, done.unit)}`,
  ]
    .filter((one) => one !== null)
    .join('; ');
}

function limitsOf(evidence: Finding['evidence']): string {
  const waits = rowOf(evidence, 'The kernel waits')?.value ?? null;
  const tries = rowOf(evidence, 'The disk tries')?.value ?? null;
  const own =
    tries === null ? 'The disk sets itself no limit' : `The disk tries for ${seconds(tries)}`;
  return `${own}, and the kernel waits ${seconds(waits)} for it`;
}

function seconds(milliseconds: number | null): string {
  return formatDuration(milliseconds === null ? null : milliseconds / 1000);
}

function expectedLimit({ expected, evidence }: Pick<Finding, 'expected' | 'evidence'>): string {
  return rowOf(evidence, 'The disk tries') === null
    ? `Expected: the kernel waits at least ${seconds(expected)} for a disk without a limit.`
    : `Expected: the disk gives up in less than ${seconds(expected)}.`;
}
