import { makeHeader, operations, type Pdu, packKeys, packPdu, readKeys, taskTag } from './pdu.js';

export const burstBytes = 262_144;

/** What this target answers to each key that it understands; a function sees what was offered. */
const answers: Readonly<Record<string, string>> = {
  AuthMethod: 'None',
  HeaderDigest: 'None',
  DataDigest: 'None',
  InitialR2T: 'Yes',
  ImmediateData: 'No',
  MaxBurstLength: String(burstBytes),
  FirstBurstLength: String(burstBytes),
  MaxRecvDataSegmentLength: String(burstBytes),
  MaxConnections: '1',
  MaxOutstandingR2T: '1',
  DefaultTime2Wait: '2',
  DefaultTime2Retain: '0',
  DataPDUInOrder: 'Yes',
  DataSequenceInOrder: 'Yes',
  ErrorRecoveryLevel: '0',
  IFMarker: 'No',
  OFMarker: 'No',
};

/** Keys that only tell something and want no answer. */
const declarations = ['InitiatorName', 'InitiatorAlias', 'TargetName', 'SessionType'];

/** The answer to a login unit's keys, in the order in which they came. */
export function answerKeys(asked: ReadonlyMap<string, string>): Map<string, string> {
  const out = new Map<string, string>();
  for (const key of asked.keys()) {
    if (!declarations.includes(key)) out.set(key, answers[key] ?? 'NotUnderstood');
  }
  return out;
}

export interface LoginAnswer {
  readonly bytes: Buffer;
  /** Name of the target that was asked for, when this unit named one. */
  readonly targetName: string | undefined;
  readonly accepted: boolean;
}

const targetNotFound = 0x0203;

/**
 * Answers one login unit (RFC 7143, sections 11.12 and 11.13); numbers are put in by the caller.
 */
export function answerLogin(
  pdu: Pdu,
  options: { numbers: (header: Buffer) => void; knows: (targetName: string) => boolean },
): LoginAnswer {
  const asked = readKeys(pdu.data);
  const targetName = asked.get('TargetName');
  const accepted = targetName === undefined || options.knows(targetName);
  const flags = pdu.header[1] ?? 0;
  const header = makeHeader(operations.loginAnswer, taskTag(pdu));
  header[1] = accepted ? flags & 0x8f : 0;
  pdu.header.copy(header, 8, 8, 14);
  header.writeUInt16BE(accepted ? 1 : 0, 14);
  options.numbers(header);
  if (!accepted) header.writeUInt16BE(targetNotFound, 36);
  const keys = accepted ? packKeys(answerKeys(asked)) : Buffer.alloc(0);
  return { bytes: packPdu(header, keys), targetName, accepted };
}
