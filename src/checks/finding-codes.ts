/** One kind of finding: when it opens and clears, for people and for `judge`. */
export interface FindingCode {
  readonly code: string;
  readonly opens: string;
  readonly clears: string;
  /** Accounting for it closes it: what happened until then no longer counts. */
  readonly clearedByAccounting: boolean;
  /** The code of the one finding about a shared part that stands for several of this code. */
  readonly sharedCode?: string;
}

const growthClears =
  'when a person accounts for it, or after 30 days and 200 powered hours without further growth';

const watchedClears =
  'when a person accounts for it, or after 30 days and 200 watched hours without further growth';

/** Every code that a finding can have. The README's table is compared with this list. */
export const findingCodes: readonly FindingCode[] = [
  {
    code: 'drive-missing',
    opens:
      'a drive that the model or an array names is not found for an hour, or after the next start',
    clears: 'it is found again, or a person accounts for it',
    clearedByAccounting: true,
    sharedCode: 'drives-dropped-together',
  },
  {
    code: 'drive-given-up',
    opens: 'two readings running in which the kernel sends the drive nothing any more',
    clears: 'two readings running in which it does',
    clearedByAccounting: false,
    sharedCode: 'drives-dropped-together',
  },
  {
    code: 'absent-after-power-on',
    opens: 'a drive was not found after the box was switched on, and found after a restart',
    clears: 'it is found after 3 power-ons in a row, or a person accounts for it',
    clearedByAccounting: true,
  },
  {
    code: 'absent-after-restart',
    opens: 'a drive was not found after a restart, and found after the box was switched off and on',
    clears: 'it is found after 3 restarts in a row, or a person accounts for it',
    clearedByAccounting: true,
  },
  {
    code: 'drive-says-failing',
    opens: 'the drive itself says that it is failing',
    clears: 'the drive no longer says so',
    clearedByAccounting: false,
  },
  {
    code: 'drive-warns',
    opens: 'the drive itself raises a warning',
    clears: 'the drive raises none',
    clearedByAccounting: false,
  },
  {
    code: 'self-test-failed',
    opens: 'the last self-test of the drive ended with a failure',
    clears: 'a later self-test passes',
    clearedByAccounting: false,
  },
  {
    code: 'endurance-spent',
    opens: 'a solid-state drive tells that all the endurance it is made for is used',
    clears: 'when a person accounts for it (told again 10 % further), or it tells less than 100 %',
    clearedByAccounting: true,
  },
  {
    code: 'surface-damage-grew',
    opens: 'damaged sectors grew since first seen here, seen by two readings',
    clears: growthClears,
    clearedByAccounting: true,
  },
  {
    code: 'place-unreadable',
    opens: 'the kernel’s log tells of a place of the drive that could not be read or written',
    clears: 'when a person accounts for it, or after 30 days and 200 powered hours without another',
    clearedByAccounting: true,
  },
  {
    code: 'link-trouble',
    opens:
      'the kernel’s log tells three times in a week of a reset, a loss, an overdue command or a damaged transfer',
    clears: 'when a person accounts for it, or after 30 days and 200 powered hours without more',
    clearedByAccounting: true,
    sharedCode: 'drives-dropped-together',
  },
  {
    code: 'commands-given-up',
    opens: 'the kernel gave up waiting for a command of the drive, seen by two readings',
    clears: watchedClears,
    clearedByAccounting: true,
  },
  {
    code: 'cable-errors-grew',
    opens: 'transfers were damaged on the data cable, seen by two readings',
    clears: growthClears,
    clearedByAccounting: true,
    sharedCode: 'controller-link-errors',
  },
  {
    code: 'power-was-lost',
    opens: 'the drive lost power more often than the box was started, seen by two readings',
    clears: growthClears,
    clearedByAccounting: true,
    sharedCode: 'drives-dropped-together',
  },
  {
    code: 'answers-late',
    opens: 'commands were overdue, seen by two readings',
    clears: growthClears,
    clearedByAccounting: true,
  },
  {
    code: 'too-warm',
    opens: 'two readings running within 5 degrees of the drive’s own limit, or at it',
    clears: 'three readings running, over 30 minutes, more than 7 degrees below the limit',
    clearedByAccounting: false,
    sharedCode: 'cooling-weak',
  },
  {
    code: 'cooling-weak',
    opens: 'two or more drives that share their air are too warm at the same time',
    clears: 'none of them is too warm any more',
    clearedByAccounting: false,
  },
  {
    code: 'fan-stopped',
    opens: 'a fan that was turning stands still, or is below its own limit, for 30 minutes',
    clears: 'two readings running in which it turns as it should',
    clearedByAccounting: false,
  },
  {
    code: 'drive-slow',
    opens: 'two runs running at the same place below what is expected, or 12 % below the first run',
    clears: 'two runs running in which every measured place is as expected',
    clearedByAccounting: false,
  },
  {
    code: 'disk-link-slower',
    opens: 'two readings running in which the disk link is slower than both ends can do',
    clears: 'two readings running at full speed',
    clearedByAccounting: false,
    sharedCode: 'controller-link-errors',
  },
  {
    code: 'pci-link-narrow',
    opens: 'two readings running with fewer lanes than both ends have',
    clears: 'two readings running with all lanes',
    clearedByAccounting: false,
  },
  {
    code: 'pci-link-slower',
    opens: 'three readings of one boot, all slower than both ends can do',
    clears: 'one reading at full speed',
    clearedByAccounting: false,
  },
  {
    code: 'controller-link-errors',
    opens: 'two or more drives of one controller with link errors at about the same time',
    clears: 'none of its drives has link errors any more, or a person accounts for it',
    clearedByAccounting: true,
  },
  {
    code: 'drives-dropped-together',
    opens:
      'two or more drives of one power lead or controller lost link or power, or vanished, at about the same time',
    clears: 'all of them are as expected again, or a person accounts for it',
    clearedByAccounting: true,
  },
  {
    code: 'array-stopped',
    opens: 'two readings running in which the kernel says that the array serves no requests',
    clears: 'two readings running in which it runs',
    clearedByAccounting: false,
  },
  {
    code: 'array-degraded',
    opens: 'two readings running in which a member is missing',
    clears: 'two readings running in which every member is in its place',
    clearedByAccounting: false,
  },
  {
    code: 'array-copies-disagree',
    opens: 'a comparison of the array found copies that disagree, seen by two readings',
    clears: 'a later comparison finds all copies alike',
    clearedByAccounting: false,
  },
  {
    code: 'recovery-limit-long',
    opens:
      'a disk of an array may try longer on a bad place than the kernel waits for it, by its limit of this boot',
    clears: 'its own limit is below the kernel’s, or the kernel waits 180 s',
    clearedByAccounting: false,
    sharedCode: 'array-recovery-limits',
  },
  {
    code: 'array-recovery-limits',
    opens: 'the same is so for two or more disks of one array',
    clears: 'it is so for none of them',
    clearedByAccounting: false,
  },
  {
    code: 'array-member-errors',
    opens: 'errors of a member grew since first seen here, seen by two readings',
    clears: watchedClears,
    clearedByAccounting: true,
  },
  {
    code: 'memory-errors',
    opens: 'errors of a memory module grew since first seen here, seen by two readings',
    clears: watchedClears,
    clearedByAccounting: true,
  },
  {
    code: 'pci-errors-grew',
    opens:
      'more than 10 corrected errors, or one that was not corrected, came on a PCI link since the first reading of a boot, seen by two readings',
    clears: watchedClears,
    clearedByAccounting: true,
  },
  {
    code: 'sas-link-errors-grew',
    opens: 'two readings each saw further damaged words on a phy of a card',
    clears: watchedClears,
    clearedByAccounting: true,
  },
  {
    code: 'board-reports-fault',
    opens:
      'the board’s controller logs a fault of memory, a fan, warmth, a voltage, a supply or the processor',
    clears: 'when a person accounts for it, or 30 days after the newest entry',
    clearedByAccounting: true,
  },
  {
    code: 'module-warm',
    opens:
      'two readings running in which the module in a network card’s plug is as warm as it warns',
    clears: 'two readings running more than 3 degrees below',
    clearedByAccounting: false,
  },
  {
    code: 'module-light-low',
    opens:
      'two readings running with less light at the module than it warns of, while there is a link',
    clears: 'two readings running with enough light',
    clearedByAccounting: false,
  },
];

const byCode = new Map(findingCodes.map((one) => [one.code, one]));

/** What is known of a code, or null for one that is not in the list. */
export function findingCode(code: string): FindingCode | null {
  return byCode.get(code) ?? null;
}

/** The code under which findings of this code on several drives are told once, or null. */
export function sharedCodeOf(code: string): string | null {
  return byCode.get(code)?.sharedCode ?? null;
}
