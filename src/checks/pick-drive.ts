import type { DriveSeen } from './part.js';
import { exitCodes, UserError } from './user-error.js';

const endingLengthMin = 4;

/**
 * The one drive that a person means by its serial number, by the last characters of it (at least
 * four), or by its part id. Throws a UserError (exit code 2) that lists the drives when none or
 * more than one fits. Kernel letters are not accepted: they change between boots.
 */
export function pickDrive(drives: readonly DriveSeen[], word: string): DriveSeen {
  const exact = drives.filter((drive) => drive.serial === word || drive.id === word);
  const fits =
    exact.length > 0 || word.length < endingLengthMin
      ? exact
      : drives.filter((drive) => drive.serial.endsWith(word));
  const [only, second] = fits;
  if (only !== undefined && second === undefined) return only;
  const problem =
    fits.length > 1
      ? `"${word}" fits ${fits.length} drives, expected exactly one`
      : `No drive here has the serial number "${word}"`;
  throw new UserError('no-such-drive', problem, {
    exitCode: exitCodes.badInput,
    hint: drives.length === 0 ? 'No drive was found at all; see bayward scan' : listOf(drives),
  });
}

function listOf(drives: readonly DriveSeen[]): string {
  return `Drives here are ${drives.map((drive) => `"${drive.id}"`).join(', ')}`;
}
