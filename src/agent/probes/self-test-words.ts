/** Meaning of results in the ATA self-test logs and in SMART data byte 363 (Fujitsu MHY2200BH
 * table 5.13 and Hitachi E7K100 p. 155; names of 5 to 8 from memory). */
const ataResults: Readonly<Record<number, string>> = {
  0: 'completed without error',
  1: 'stopped by a command',
  2: 'interrupted by a reset',
  3: 'could not finish: fatal or unknown error',
  4: 'failed: part unknown',
  5: 'failed: electrical part',
  6: 'failed: servo or seek part',
  7: 'failed: a place could not be read',
  8: 'failed: damage by handling suspected',
  15: 'is running',
};

const nvmeResults: Readonly<Record<number, string>> = {
  0: 'completed without error',
  1: 'stopped by a command',
  2: 'stopped by a controller reset',
  3: 'stopped: the namespace was removed',
  4: 'stopped by a format command',
  5: 'could not finish: fatal error',
  6: 'failed: part unknown',
  7: 'failed: part known',
  8: 'stopped for an unknown reason',
  9: 'stopped by a sanitize command',
};

/** Seagate SCSI Commands Reference Rev. J p. 362. */
const scsiResults: Readonly<Record<number, string>> = {
  0: 'completed without error',
  1: 'stopped by a command',
  2: 'stopped for another reason',
  3: 'could not finish: unknown error',
  4: 'failed: part unknown',
  5: 'failed in its first part',
  6: 'failed in its second part',
  7: 'failed in a later part',
  15: 'is running',
};

const results = { ata: ataResults, nvme: nvmeResults, scsi: scsiResults } as const;

export function selfTestResultWords(set: keyof typeof results, code: number): string {
  return results[set][code] ?? `ended with code ${code}, meaning not known`;
}

const ataTests: Readonly<Record<number, string>> = {
  0: 'Off-line routine',
  1: 'Short self-test',
  2: 'Extended self-test',
  3: 'Conveyance self-test',
  4: 'Selective self-test',
};

const otherTests: Readonly<Record<number, string>> = {
  1: 'Short self-test',
  2: 'Extended self-test',
  5: 'Short self-test',
  6: 'Extended self-test',
};

/** ATA numbers from 81h on are the same tests in captive mode (from memory). */
export function selfTestWords(set: keyof typeof results, test: number): string {
  const number = set === 'ata' && test >= 0x81 && test <= 0x84 ? test - 0x80 : test;
  return (set === 'ata' ? ataTests : otherTests)[number] ?? `Self-test ${number}`;
}
