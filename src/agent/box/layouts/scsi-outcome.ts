import { type Absence, type Answer, answered, type ScsiReply } from '../box.js';
import { absenceFromSense, readSense } from './sense.js';
import type { ScsiOutcome } from './sg-header.js';

const checkCondition = 0x02;

/** The kernel's host codes (Linux 6.1 include/scsi/scsi_status.h). */
const absenceOfHost: Readonly<Record<number, Absence['kind']>> = {
  1: 'gone',
  2: 'busy',
  3: 'timed-out',
  4: 'gone',
  5: 'aborted',
  11: 'busy',
  15: 'timed-out',
};

const saysOfHost: Readonly<Partial<Record<Absence['kind'], string>>> = {
  gone: 'The drive was not there for',
  busy: 'The way to the drive was taken during',
  'timed-out': 'The drive did not answer in time to',
  aborted: 'The way to the drive broke off',
};

/** SCSI status bytes other than good and check condition. SAM, from memory. */
const absenceOfStatus: Readonly<Record<number, Absence['kind']>> = {
  8: 'busy',
  24: 'not-permitted',
  40: 'busy',
  64: 'aborted',
};

/**
 * Trouble on the way to the drive, or a status that carries no sense; null when the drive itself
 * answered, with good status or with check condition. A transport failure is never the drive's
 * verdict, so it is looked at first.
 */
export function transportTrouble(name: string, outcome: ScsiOutcome): Absence | null {
  if (outcome.hostStatus !== 0) {
    const kind = absenceOfHost[outcome.hostStatus] ?? 'aborted';
    return { kind, text: `${saysOfHost[kind]} ${name} (host code ${outcome.hostStatus})` };
  }
  if ((outcome.driverStatus & 0x0f) === 6) {
    return { kind: 'timed-out', text: `The drive did not answer in time to ${name}` };
  }
  if (outcome.status === 0 || outcome.status === checkCondition) return null;
  const kind = absenceOfStatus[outcome.status] ?? 'aborted';
  const code = outcome.status.toString(16).padStart(2, '0');
  return { kind, text: `The drive answered ${name} with status ${code}h` };
}

/** What a plain SCSI command brought: good, recovered with its sense, or an absence. */
export function scsiAnswer(name: string, outcome: ScsiOutcome): Answer<ScsiReply> {
  const trouble = transportTrouble(name, outcome);
  if (trouble) return { ok: false, absence: trouble };
  const recovered = readSense(outcome.sense)?.key === 1;
  if (outcome.status === 0 || recovered) {
    return answered({ data: outcome.data, sense: outcome.sense });
  }
  return { ok: false, absence: absenceFromSense(name, outcome.sense) };
}
