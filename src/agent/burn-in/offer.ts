import type { BurnInStage } from '../../checks/burn-in-result.js';
import type { DriveSeen } from '../../checks/part.js';
import { pickDrive } from '../../checks/pick-drive.js';
import { exitCodes, UserError } from '../../checks/user-error.js';
import { type ConsentFacts, digitsOf, type Refusal, refusals } from './consent.js';
import type { BurnInOptions, BurnInParts } from './engine-parts.js';
import { consentText, type Found, type Look, lookAtSurface } from './look.js';
import { expectedSeconds, planBurnIn } from './plan.js';

/** What a burn-in of a drive would do, and what stands against it. */
export interface BurnInOffer {
  readonly model: string;
  readonly capacityBytes: number;
  readonly port: string | null;
  readonly erases: boolean;
  readonly stages: readonly BurnInStage[];
  readonly expectedSeconds: number;
  /** Which figure a person must read and type the end of; null when nothing is erased. */
  readonly digitsWanted: string | null;
  readonly found: readonly Found[];
  /** What to repeat as the second consent; null when nothing was found. */
  readonly eraseFound: string | null;
  readonly refusals: readonly Refusal[];
}

const lookDeadlineMs = 60_000;

/** The drive that a person means, by serial number or, when it has none, by device path. */
export async function findDrive(parts: BurnInParts, word: string): Promise<DriveSeen> {
  if (!word.startsWith('/dev/')) return pickDrive(await parts.listDrives(), word);
  const drive = await parts.driveAtPath(word);
  if (drive === null) {
    throw new UserError('no-such-drive', `There is no drive at ${word}`, {
      exitCode: exitCodes.badInput,
    });
  }
  if (drive.serial !== '') {
    throw new UserError('name-by-serial', `The drive at ${word} has a serial number`, {
      exitCode: exitCodes.badInput,
      hint: 'Name it by that: device paths change from start to start',
    });
  }
  return drive;
}

/** Looks up every fact that the protections ask for. */
export async function gatherFacts(
  parts: BurnInParts,
  drive: DriveSeen,
  asked: {
    readonly options: BurnInOptions;
    readonly seed: string;
    readonly otherRun: number | null;
  },
): Promise<ConsentFacts> {
  const { options } = asked;
  const inUse = [...(await parts.inUse(drive))];
  const mayLook = options.erase && inUse.length === 0;
  const look = mayLook ? await lookAt(parts, { drive, seed: asked.seed, inUse }) : null;
  return {
    drive,
    erases: options.erase,
    inUse,
    holdsData: parts.holdsData(drive),
    isSystemDrive: inUse.some((reason) => reason.startsWith('It is the system drive')),
    otherRun: asked.otherRun,
    look,
    askedFrom: options.askedFrom,
    pageMayErase: parts.pageMayErase(),
    digits: options.digits ?? null,
    eraseFound: options.eraseFound ?? null,
    namedByPath: options.drive.startsWith('/dev/'),
  };
}

/** Reads both ends and the sampled places; an exclusive opening also shows hidden users. */
async function lookAt(
  parts: BurnInParts,
  at: { readonly drive: DriveSeen; readonly seed: string; readonly inUse: string[] },
): Promise<Look | null> {
  const { devicePath, deviceNumber, reachedBy } = at.drive;
  const opened = await parts.box.openBlocks(
    { devicePath, deviceNumber, reachedBy },
    { write: false, exclusive: true, deadlineMs: lookDeadlineMs },
  );
  if (!opened.ok) {
    if (opened.absence.kind === 'not-permitted') {
      throw new UserError('no-privilege', `The drive may not be opened: ${opened.absence.text}`, {
        exitCode: exitCodes.noPrivilege,
        hint: 'Start the agent as root',
      });
    }
    if (opened.absence.kind === 'busy') at.inUse.push('Something holds it open for itself');
    return null;
  }
  try {
    return await lookAtSurface(opened.value, at.seed);
  } finally {
    await opened.value.close();
  }
}

export function offerOf(facts: ConsentFacts): BurnInOffer {
  const { drive, erases, look } = facts;
  const plan = planBurnIn(drive, { erases, consented: [], returnIsOpen: null });
  const found = look?.found ?? [];
  return {
    model: drive.model,
    capacityBytes: drive.capacityBytes,
    port: drive.port,
    erases,
    stages: plan.stages,
    expectedSeconds: expectedSeconds(plan, drive.rotating),
    digitsWanted: erases ? digitsOf(drive).what : null,
    found,
    eraseFound: look === null || found.length === 0 ? null : consentText(look),
    refusals: refusals(facts),
  };
}

/** All standing reasons as one error: refused for safety, with the first hint that helps. */
export function refusalError(found: readonly Refusal[]): UserError | null {
  const [first] = found;
  if (first === undefined) return null;
  const text = found.map((one) => one.text).join('. ');
  const hint = found.find((one) => one.hint !== undefined)?.hint;
  return new UserError(first.code, text, {
    exitCode: exitCodes.refusedForSafety,
    ...(hint === undefined ? {} : { hint }),
  });
}
