import { isKnownByPlace } from '../../checks/identity-doubt.js';
import type { DriveSeen } from '../../checks/part.js';
import { consentText, type Look } from './look.js';

/** What stands between a person and an erased drive, as facts. Nothing here is looked up. */
export interface ConsentFacts {
  readonly drive: DriveSeen;
  readonly erases: boolean;
  /** Reasons why the drive is in use, one sentence each. */
  readonly inUse: readonly string[];
  /** Marked in the model file as holding data. */
  readonly holdsData: boolean;
  /** It carries the running system. */
  readonly isSystemDrive: boolean;
  /** A run on this drive that is not over yet. */
  readonly otherRun: number | null;
  /** What was found on the surface; null when it could not be looked at. */
  readonly look: Look | null;
  /** Where the person sits: at the box (console or session) or at the page. */
  readonly askedFrom: 'box' | 'page';
  readonly pageMayErase: boolean;
  /** What the person read from the label and typed. */
  readonly digits: string | null;
  /** The second, separate consent: names of what was found. */
  readonly eraseFound: string | null;
  /** The person named the device by its path, as a drive without a serial needs. */
  readonly namedByPath: boolean;
}

export interface Refusal {
  readonly code: string;
  readonly text: string;
  readonly hint?: string;
  /** A person can lift it by typing something; the others stand whatever is typed. */
  readonly byTyping: boolean;
}

export const digitsMin = 4;

/**
 * Every reason why this run must not start, worst first. Empty only when all protections agree;
 * no single flag lifts more than its own reason. Never throws.
 */
export function refusals(facts: ConsentFacts): readonly Refusal[] {
  const found = [...standing(facts), ...(facts.erases ? againstErasing(facts) : [])];
  return found.map((one) => ({ byTyping: false, ...one }));
}

type Reason = Omit<Refusal, 'byTyping'> & { readonly byTyping?: boolean };

function standing(facts: ConsentFacts): readonly Reason[] {
  const { drive } = facts;
  const found: Reason[] = [];
  if (facts.isSystemDrive) {
    found.push({ code: 'system-drive', text: 'The running system is on this drive' });
  }
  if (drive.duplicateIdentity) {
    found.push({
      code: 'duplicate-identity',
      text: 'Another drive here has the same serial number or world-wide name',
      hint: 'Take one of the two out, or attach it without the bridge that repeats its name',
    });
  }
  if (facts.holdsData) {
    found.push({
      code: 'holds-data',
      text: 'The model file says that this drive holds data',
      hint: 'Copy the data off first, then take holds-data out of the model file',
    });
  }
  if (facts.inUse.length > 0) {
    found.push({ code: 'in-use', text: `The drive is in use: ${facts.inUse.join('; ')}` });
  }
  if (facts.otherRun !== null) {
    const text = `Burn-in ${facts.otherRun} of this drive is not over yet`;
    found.push({ code: 'already-running', text, hint: 'Resume it, or stop it first' });
  }
  if (!(drive.capacityBytes > 0) || drive.capacityBytes % drive.logicalBlockBytes !== 0) {
    const text = `The drive says that it has ${drive.capacityBytes} bytes, which cannot be tested`;
    found.push({ code: 'no-capacity', text });
  }
  if (drive.serial === '' && !facts.namedByPath) {
    found.push({
      code: 'no-serial',
      text: 'The drive shows no serial number, so it must be named by its device path',
    });
  }
  return found;
}

function againstErasing(facts: ConsentFacts): readonly Reason[] {
  const { drive } = facts;
  const found: Reason[] = [];
  if (drive.serial !== '' && isKnownByPlace(drive.identityKey)) {
    found.push({
      code: 'placeholder-serial',
      text: `The drive shows the serial number "${drive.serial}", which stands for none`,
      hint: 'Attach it without the bridge that hides its name',
    });
  }
  if (facts.askedFrom === 'page' && !facts.pageMayErase) {
    found.push({
      code: 'not-from-page',
      text: 'A drive is erased from the console or from a session on the box, not from the page',
      hint: 'Run bayward burn-in start on the box, or allow it in the model file',
    });
  }
  if (facts.look === null) {
    found.push({ code: 'not-looked-at', text: 'The surface of the drive could not be looked at' });
  } else {
    found.push(...againstWhatIsThere(facts.look, facts.eraseFound));
  }
  if (!digitsAgree(facts.drive, facts.digits)) {
    found.push({
      code: facts.digits === null ? 'digits-needed' : 'digits-wrong',
      text: `${facts.digits === null ? 'Erasing needs' : 'What was typed does not agree with'} the last ${digitsMin} or more characters of ${digitsOf(facts.drive).what}`,
      hint: digitsOf(facts.drive).hint,
      byTyping: true,
    });
  }
  return found;
}

function againstWhatIsThere(look: Look, eraseFound: string | null): readonly Reason[] {
  const wanted = consentText(look);
  if (look.found.length === 0 || sameWords(eraseFound, wanted)) return [];
  const things = look.found.map(({ words, atByte }) => `${words} at byte ${atByte}`);
  return [
    {
      code: 'holds-unknown-data',
      text: `The drive holds data of unknown kind: ${things.join(', ')}`,
      hint: `To erase just that, consent to it by its names: ${wanted}`,
      byTyping: true,
    },
  ];
}

function sameWords(given: string | null, wanted: string): boolean {
  if (given === null) return false;
  const words = given.split(/[\s,]+/).filter((word) => word !== '');
  return [...new Set(words)].sort().join(' ') === wanted.split(' ').sort().join(' ');
}

/** Which figure of the drive a person must type the end of; the figure itself is never shown. */
export function digitsOf(drive: DriveSeen): {
  readonly figure: string;
  readonly what: string;
  readonly hint: string;
} {
  if (drive.serial !== '') {
    const hint = 'Read them from the label of the drive itself, not from a screen';
    return { figure: drive.serial, what: 'the serial number on its label', hint };
  }
  return {
    figure: String(drive.capacityBytes),
    what: 'its size in bytes, since it has no serial number',
    hint: 'The size of the file or volume behind it tells them',
  };
}

function digitsAgree(drive: DriveSeen, typed: string | null): boolean {
  if (typed === null) return false;
  const given = typed.trim().toUpperCase();
  const { figure } = digitsOf(drive);
  const enough = Math.min(digitsMin, figure.length);
  return given.length >= enough && given.length > 0 && figure.toUpperCase().endsWith(given);
}
