import type { Check, CheckInput } from './check.js';
import type { CheckResult } from './finding.js';
import { arrayDegraded, arrayStopped } from './rules/array-condition.js';
import { arrayCopies } from './rules/array-copies.js';
import { arrayMemberErrors } from './rules/array-member-errors.js';
import { boardReports } from './rules/board-reports.js';
import { cableGrowth, powerGrowth, responseGrowth, surfaceGrowth } from './rules/damage-growth.js';
import { driveGivenUp } from './rules/drive-given-up.js';
import { driveMissing } from './rules/drive-missing.js';
import { driveSpeed } from './rules/drive-speed.js';
import { driveSaysFailing, driveWarns, selfTest } from './rules/drive-verdict.js';
import { endurance } from './rules/endurance.js';
import { fanStopped } from './rules/fan-stopped.js';
import { kernelTimeouts } from './rules/kernel-timeouts.js';
import { diskLink, pciLanes, pciSpeed } from './rules/link.js';
import { linkTrouble, placeUnreadable } from './rules/log-trouble.js';
import { memoryErrors } from './rules/memory-errors.js';
import { moduleLight, moduleWarm } from './rules/network-module.js';
import { pciErrors } from './rules/pci-errors.js';
import { recoveryLimit } from './rules/recovery-limit.js';
import { sasLinkErrors } from './rules/sas-link-errors.js';
import { absentAfterPowerOn, absentAfterRestart } from './rules/start-absence.js';
import { temperature } from './rules/temperature.js';

/** Every check, written out; nothing registers itself. */
export const catalogue: readonly Check[] = [
  driveMissing,
  driveGivenUp,
  absentAfterPowerOn,
  absentAfterRestart,
  driveSaysFailing,
  driveWarns,
  selfTest,
  endurance,
  surfaceGrowth,
  placeUnreadable,
  cableGrowth,
  linkTrouble,
  kernelTimeouts,
  powerGrowth,
  responseGrowth,
  temperature,
  fanStopped,
  driveSpeed,
  diskLink,
  pciLanes,
  pciSpeed,
  recoveryLimit,
  arrayStopped,
  arrayDegraded,
  arrayCopies,
  arrayMemberErrors,
  memoryErrors,
  pciErrors,
  sasLinkErrors,
  boardReports,
  moduleWarm,
  moduleLight,
];

/** What may be told of a part that is gone. */
const ofGone: readonly Check[] = [driveMissing, absentAfterPowerOn, absentAfterRestart];

/**
 * Results of all checks on one part, in the order of the catalogue. Of a part that is gone nothing
 * is known but that: what it last showed is no state of it now.
 */
export function checkPart(input: CheckInput): readonly CheckResult[] {
  const checks = input.gone === null ? catalogue : ofGone;
  return checks.flatMap((check) => check.judge(input));
}
