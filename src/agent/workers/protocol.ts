import { placeErrorKinds } from '../../checks/burn-in-result.js';
import { type Capture, recordNames } from '../../checks/capture.js';
import {
  isAmount,
  isAnyOf,
  isFlag,
  isListOf,
  isNullOr,
  isOneOf,
  isRecordOf,
  isText,
  isWhole,
  shape,
} from './fields.js';
import type { FromWorker, ToWorker } from './protocol-types.js';

/** Number of the language both sides speak; a child of another number is not listened to. */
export const protocolVersion = 1;

/** Longest text of one message to a child, and from it (a capture holds whole log pages). */
export const messageTextMax = { toWorker: 64 * 1024, fromWorker: 24 * 1024 * 1024 };

/** Most errors listed by place in one progress message; the rest are counted. */
export const listedErrorsMax = 256;

export type Decoded<T> =
  | { readonly ok: true; readonly message: T }
  | { readonly ok: false; readonly why: string };

const expectedDrive = shape({
  address: shape({
    devicePath: isText(512),
    deviceNumber: isText(32),
    reachedBy: isOneOf('ata', 'scsi', 'nvme', 'usb', 'virtual'),
  }),
  serial: isText(128),
  model: isText(128),
  sizeBytes: isWhole,
  diskSequence: isNullOr(isText(32)),
});

const isSeed = (value: unknown) => typeof value === 'string' && /^[0-9a-f]{32}$/.test(value);

const isToWorker = isAnyOf([
  shape({
    do: isOneOf('read', 'write', 'verify'),
    drive: expectedDrive,
    fromByte: isWhole,
    toByte: isWhole,
    run: isWhole,
    seed: isSeed,
    pass: isWhole,
    'stretchBytes?': isWhole,
    'blockBytes?': isWhole,
    'consented?': isListOf(isText(64), 64),
  }),
  shape({
    do: isOneOf('speed'),
    drive: expectedDrive,
    places: isListOf(isWhole, 256),
    bytesPerPlace: isWhole,
  }),
  shape({
    do: isOneOf('stream'),
    drive: expectedDrive,
    fromByte: isWhole,
    toByte: isWhole,
    seconds: isAmount,
  }),
  shape({ do: isOneOf('capture'), drive: expectedDrive }),
  shape({ go: isOneOf(true) }),
  shape({ pause: isFlag }),
  shape({ stop: isOneOf(true) }),
]);

const progress = shape({
  fromByte: isWhole,
  toByte: isWhole,
  seconds: isAmount,
  errors: isListOf(shape({ lba: isWhole, kind: isOneOf(...placeErrorKinds) }), listedErrorsMax),
  'unlisted?': isRecordOf(isWhole, placeErrorKinds.length),
  'unlocatedBytes?': isWhole,
  'unknownAt?': isWhole,
  'places?': isListOf(shape({ place: isWhole, bytes: isWhole, seconds: isAmount }), 1000),
});

const speed = shape({
  direction: isOneOf('read', 'write'),
  streams: isWhole,
  'place?': isWhole,
  bytesPerSecond: isNullOr(isAmount),
  low: isNullOr(isAmount),
  high: isNullOr(isAmount),
  seconds: isAmount,
  conditions: shape({
    temperature: isNullOr(Number.isFinite),
    otherLoad: isNullOr(isAmount),
    linkSpeed: isNullOr(isText(64)),
    lanes: isNullOr(isWhole),
  }),
  complete: isFlag,
  'reason?': isText(1000),
});

const captureShape = shape({
  taken: isText(64),
  commandSet: isOneOf('ata', 'nvme', 'scsi'),
  pages: isListOf(
    shape({
      record: isOneOf(...recordNames),
      'log?': isWhole,
      'subpage?': isWhole,
      'page?': isWhole,
      'nsid?': isWhole,
      data: isText(16 * 1024 * 1024),
      'failed?': shape({ reason: isText(1000) }),
    }),
    4096,
  ),
});

const isFromWorker = isAnyOf([
  shape({ ready: isOneOf(true), version: isOneOf(protocolVersion) }),
  shape({ alive: isOneOf(true), atByte: isWhole }),
  shape({ ask: isOneOf('write'), fromByte: isWhole, toByte: isWhole }),
  shape({ progress }),
  shape({ speed }),
  shape({ captured: captureShape }),
  shape({ refused: shape({ code: isText(64), text: isText(4000) }) }),
  shape({ done: isOneOf(true) }),
]);

/** Decodes one text that came from the parent. Never throws. */
export function decodeToWorker(text: unknown): Decoded<ToWorker> {
  return decode<ToWorker>(text, isToWorker, messageTextMax.toWorker);
}

/** Decodes one text that came from a child. Never throws. */
export function decodeFromWorker(text: unknown): Decoded<FromWorker> {
  const decoded = decode<FromWorker>(text, isFromWorker, messageTextMax.fromWorker);
  if (!decoded.ok || !('captured' in decoded.message)) return decoded;
  return { ok: true, message: { captured: withPageBytes(decoded.message.captured) } };
}

export function encodeToWorker(message: ToWorker): string {
  return JSON.stringify(message);
}

/** Bytes of captured pages travel as base64. */
export function encodeFromWorker(message: FromWorker): string {
  if (!('captured' in message)) return JSON.stringify(message);
  const pages = message.captured.pages.map((page) => ({
    ...page,
    data: Buffer.from(page.data).toString('base64'),
  }));
  return JSON.stringify({ captured: { ...message.captured, pages } });
}

function withPageBytes(captured: Capture): Capture {
  const pages = captured.pages.map((page) => ({
    ...page,
    data: new Uint8Array(Buffer.from(String(page.data), 'base64')),
  }));
  return { ...captured, pages };
}

function decode<T>(text: unknown, isKnown: (value: unknown) => boolean, max: number): Decoded<T> {
  if (typeof text !== 'string') return refuse('The message is not a text');
  if (text.length > max) {
    return refuse(`The message is ${text.length} characters long, at most ${max} are taken`);
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return refuse(`The message is not JSON: ${text.slice(0, 60)}`);
  }
  if (!isKnown(value)) return refuse(`The message is of no known kind: ${text.slice(0, 120)}`);
  return { ok: true, message: value as T };
}

function refuse(why: string): { ok: false; why: string } {
  return { ok: false, why };
}
