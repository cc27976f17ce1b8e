import { formatValue } from '../units.js';
import { atMost, type CodeWords, grownWords, type Told } from './told.js';

/** Words of findings about cables, cards and what lies between a drive and the box. */
export const linkWords: Readonly<Record<string, CodeWords>> = {
  'cable-errors-grew': {
    title: 'transfers were damaged on the data cable',
    sentence: (told) =>
      `Data was damaged between drive and port and sent again: ${grownWords(told)}. The cable, its plugs or the port are meant, not the drive’s surface.`,
    expected: atMost,
    nextStep: () =>
      'With the box switched off, reseat the data cable at both ends; if it grows again, use another cable, then another port. Account for this finding when done.',
  },
  'disk-link-slower': {
    title: 'the disk link runs slower than it could',
    sentence: ({ measured, unit }) =>
      `The link to the drive runs at ${formatValue(measured, unit)}.`,
    expected: ({ expected, unit }) =>
      `Expected: ${formatValue(expected, unit)}, which both ends can do.`,
    nextStep: () =>
      'With the box switched off, reseat the data cable at both ends, then try another cable or port. Transfers are safe but slower.',
  },
  'pci-link-narrow': {
    title: 'fewer lanes are connected than could be',
    sentence: ({ measured, unit }) => `The card runs with ${formatValue(measured, unit)}.`,
    expected: ({ expected, unit }) =>
      `Expected: ${formatValue(expected, unit)}, which card and slot both have.`,
    nextStep: () =>
      'With the box switched off and unplugged, take the card out, clean its contacts, seat it again; then try another slot and see whether the fault goes with the card.',
  },
  'pci-link-slower': {
    title: 'the card’s link runs slower than it could',
    sentence: ({ measured, unit }) =>
      `The card’s link was never seen faster than ${formatValue(measured, unit)} in this boot.`,
    expected: ({ expected, unit }) =>
      `Expected: ${formatValue(expected, unit)}, which card and slot both can do.`,
    nextStep: () =>
      'Look again while the card works: some lower their link at rest. If it stays, reseat the card with the box switched off.',
  },
  'drive-missing': {
    title: 'the drive is not found in the box',
    sentence: () =>
      'It was here and is not found any more. Nothing is known of it since; what was found wrong with it before is closed and opens again if it comes back with it.',
    expected: ({ source }) => `Expected: it is found (${source}).`,
    nextStep: () =>
      'When you took it out yourself, account for this finding. Otherwise switch the box off, look at its power lead and its data cable, then start again; a drive that stays silent on another lead and another cable too is a reason for return or replacement.',
  },
  'absent-after-power-on': {
    title: 'the drive is missing after the power was switched on',
    sentence: ({ measured, unit }) =>
      `It was not found after the box was switched on and was there after a restart, ${formatValue(measured, unit)} times so far. A drive that comes too late, a power lead that sags while all drives spin up, or a third power pin that keeps the drive off does this.`,
    expected: () => 'Expected: it is found at each start, however the box starts.',
    nextStep: () =>
      'With the box switched off, seat its power plug anew or give it another lead without a splitter. If it stays: let drives spin up one after the other where card or firmware can, and try a lead without 3.3 V. Account for this finding when done.',
  },
  'absent-after-restart': {
    title: 'the drive is missing after a restart without power-off',
    sentence: ({ measured, unit }) =>
      `It was not found after a restart and was there after the power was off, ${formatValue(measured, unit)} times so far. A drive, bridge or card that hangs until its power is cut does this.`,
    expected: () => 'Expected: it is found at each start, however the box starts.',
    nextStep: () =>
      'Switch the box fully off for a minute instead of restarting it. Try the drive on another port or card: if the fault goes with the drive, look for newer firmware of it and count it as a reason for return; if it stays, the port, bridge or card is meant. Account for this finding when done.',
  },
  'drives-dropped-together': {
    title: 'several drives dropped out together',
    sentence: ({ measured, unit }) =>
      `${formatValue(measured, unit)} drives that share this part lost their link or power, or vanished, at about the same time. What they share is meant, not each drive.`,
    expected: () => 'Expected: drives do not fail together.',
    nextStep: () =>
      'Switch the box off and unplug it. Feel and smell whether a power plug got hot; look first at the power lead that these drives share, above all at splitters and moulded plugs, then at the controller’s seat and cooling or the backplane. Account for this finding when done.',
  },
  'link-trouble': {
    title: 'the way to the drive is in trouble again and again',
    sentence: ({ measured, unit, evidence }) =>
      `The kernel’s log tells of trouble on the way to this drive ${formatValue(measured, unit)} times in a week: ${kindsOf(evidence)}. Cable, plugs, power lead and port are meant first, not the drive’s surface.`,
    expected: ({ expected, unit }) =>
      `Expected: at most ${formatValue(expected, unit)} times in a week.`,
    nextStep: () =>
      'With the box switched off, reseat the data cable and the power plug at both ends; if it goes on, use another cable, then another port. When it comes only while the box is at rest, switch link power saving off first. Account for this finding when done.',
  },
  'drive-given-up': {
    title: 'the kernel gave the drive up',
    sentence: () => 'The drive is still listed, but the kernel sends it nothing any more.',
    expected: () => 'Expected: the kernel sends requests to the drive.',
    nextStep: () =>
      'Copy off first what cannot be replaced, from where it still can be read. Then switch the box off, look at the power lead and the data cable of this drive, and start again; a drive that is given up again is a reason for return or replacement.',
  },
  'commands-given-up': {
    title: 'the kernel gave up waiting for the drive',
    sentence: (told) =>
      `The drive, or the way to it, stood still for as long as the kernel waits: ${grownWords(told)}.`,
    expected: atMost,
    nextStep: () =>
      'With the box switched off, look at the power lead and the data cable of this drive; see whether it comes at rest (link power saving) or under load (power, heat). Account for this finding when done.',
  },
  'module-warm': {
    title: 'the module in the network plug is too warm',
    sentence: ({ measured, unit }) => `The module is at ${formatValue(measured, unit)}.`,
    expected: ({ expected, unit }) =>
      `Expected: below ${formatValue(expected, unit)}, where the module itself warns.`,
    nextStep: () =>
      'Let air reach the network card; modules for copper cables get hot beside each other. Touch it only when it has cooled.',
  },
  'module-light-low': {
    title: 'too little light comes in at the network plug',
    sentence: ({ measured, unit }) => `The module sees ${formatValue(measured, unit)} of light.`,
    expected: ({ expected, unit }) =>
      `Expected: at least ${formatValue(expected, unit)}, below which the module itself warns.`,
    nextStep: () =>
      'Never look into a fibre or a module. Clean both plugs with what is made for it, look for a sharp bend, then try another fibre and another module at either end.',
  },
  'controller-link-errors': {
    title: 'several drives of one controller have link errors',
    sentence: ({ measured, unit }) =>
      `${formatValue(measured, unit)} drives of this controller had link errors at about the same time. What they share is meant, not each drive.`,
    expected: () => 'Expected: no drive of this controller has link errors.',
    nextStep: () =>
      'With the box switched off, look at what these drives share: the controller’s seat and cooling, a breakout cable, a backplane, a power lead. Account for this finding when done.',
  },
};

function kindsOf(evidence: Told['evidence']): string {
  return [...new Set(evidence.map(({ label }) => label.toLowerCase()))].join(', ');
}
