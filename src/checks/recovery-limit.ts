/** Reasons why a drive has no limit of its own, as its reading carries them. */
export const noRecoveryLimit = {
  off: 'The drive’s timer is switched off: it may try for minutes',
  never: 'The drive says that it has no such limit (IDENTIFY DEVICE word 206)',
} as const;

/** True when a reason of absence says that the drive sets itself no limit. */
export function saysNoLimit(why: string | undefined): boolean {
  return why === noRecoveryLimit.off || why === noRecoveryLimit.never;
}
