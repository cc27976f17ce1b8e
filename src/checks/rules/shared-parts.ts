import type { CheckInput } from '../check.js';
import type { CheckResult } from '../finding.js';

/**
 * What a drive that lost link or power shares with others, in the order in which it is blamed: the
 * power lead first, then the controller (common practice: drives that vanish together lost power
 * until shown otherwise). Empty where neither is known. Pure.
 */
export function sharedPartsOf({
  powerLead,
  controller,
}: CheckInput): Pick<CheckResult, 'sharedPart' | 'otherSharedParts'> {
  const [first, ...others] = [powerLead, controller].filter((one) => one !== null);
  return first === undefined ? {} : { sharedPart: first, otherSharedParts: others };
}
