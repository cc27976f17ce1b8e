/** Chip names of the two kernel drivers whose sensors sit in a drive. */
export const driveChipNames: readonly string[] = ['drivetemp', 'nvme'];
