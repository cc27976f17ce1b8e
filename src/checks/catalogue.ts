import type { Check, CheckInput } from './check.js';
import type { CheckResult } from './finding.js';
import { arrayDegraded, arrayStopped } from './rules/array-condition.js';
import { arrayCopies } from './rules/array-copies.js';
import { arrayMemberErrors } from './rules/array-member-errors.js';
import { cableGrowth, powerGrowth, responseGrowth, surfaceGrowth } from './rules/damage-growth.js';
import { driveSpeed } from './rules/drive-speed.js';
import { driveSaysFailing, driveWarns, selfTest } from './rules/drive-verdict.js';
import { diskLink, pciLanes, pciSpeed } from './rules/link.js';
import { memoryErrors } from './rules/memory-errors.js';
import { pciErrors } from './rules/pci-errors.js';
import { sasLinkErrors } from './rules/sas-link-errors.js';
import { temperature } from './rules/temperature.js';

/** Every check, written out; nothing registers itself. */
export const catalogue: readonly Check[] = [
  driveSaysFailing,
  driveWarns,
  selfTest,
  surfaceGrowth,
  cableGrowth,
  powerGrowth,
  responseGrowth,
  temperature,
  driveSpeed,
  diskLink,
  pciLanes,
  pciSpeed,
  arrayStopped,
  arrayDegraded,
  arrayCopies,
  arrayMemberErrors,
  memoryErrors,
  pciErrors,
  sasLinkErrors,
];

/** Results of all checks on one part, in the order of the catalogue. */
export function checkPart(input: CheckInput): readonly CheckResult[] {
  return catalogue.flatMap((check) => check.judge(input));
}
