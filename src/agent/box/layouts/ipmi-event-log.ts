import { bit, hexDigits, pageReader } from './bytes.js';

/** State of a controller's event log. */
export interface EventLogInfo {
  readonly entries: number;
  /** Null where it tells that it does not know. */
  readonly freeBytes: number | null;
  /** Seconds by the controller's own clock; null where it never happened or is not told. */
  readonly lastAddition: number | null;
  readonly lastErase: number | null;
  /** An event was dropped because the log was full. */
  readonly overflowed: boolean;
}

const never = 0xffffffff;

/** Answer to Get SEL Info (IPMI 2.0, from memory). */
export function decodeEventLogInfo(data: Uint8Array): EventLogInfo {
  const page = pageReader('State of the controller’s event log', data);
  const free = page.le16(3);
  return {
    entries: page.le16(1),
    freeBytes: free === 0xffff ? null : free,
    lastAddition: told(page.le32(5)),
    lastErase: told(page.le32(9)),
    overflowed: bit(page.u8(13), 7),
  };
}

/** Answer to Get SEL Time: seconds since 1970 as the controller counts them; null: not set. */
export function decodeEventLogTime(data: Uint8Array): number | null {
  return told(pageReader('Clock of the controller’s event log', data).le32(0));
}

/** Counted up to here since the controller started, not since 1970. */
const beforeSetMax = 0x20000000;

/** When an event happened, as far as the controller knew. */
export type EventTime =
  | { readonly known: 'seconds'; readonly seconds: number }
  | { readonly known: 'since-start'; readonly seconds: number }
  | { readonly known: 'nothing' };

/** One entry of the log, not yet in words. */
export interface EventLogEntry {
  readonly id: number;
  /** 02h is a standard event; C0h to DFh and E0h to FFh are the maker's own. */
  readonly type: number;
  readonly time: EventTime;
  /** Parts of a standard event; null in an entry of the maker's own. */
  readonly event: SensorEvent | null;
  /** The 16 bytes as hexadecimal digits. */
  readonly record: string;
}

export interface SensorEvent {
  readonly sensorType: number;
  readonly sensor: number;
  readonly eventType: number;
  /** The state began; false: it ended. */
  readonly began: boolean;
  readonly offset: number;
  /** What the second and third byte hold: 0 nothing, 1 raw figures, 2 the maker's, 3 the type's. */
  readonly secondMeans: number;
  readonly thirdMeans: number;
  readonly second: number;
  readonly third: number;
}

export interface EventLogAnswer {
  /** Null after the newest entry. */
  readonly next: number | null;
  readonly entry: EventLogEntry;
}

const lastEntry = 0xffff;
const standardType = 0x02;
const timedMax = 0xdf;

/** Answer to Get SEL Entry: number of the next one, and the entry of 16 bytes. */
export function decodeEventLogEntry(data: Uint8Array): EventLogAnswer {
  const page = pageReader('Entry of the controller’s event log', data);
  const bytes = page.part(2, 16);
  const next = page.le16(0);
  const type = page.u8(4);
  return {
    next: next === lastEntry ? null : next,
    entry: {
      id: page.le16(2),
      type,
      time: type > timedMax ? { known: 'nothing' } : timeOf(page.le32(5)),
      event: type === standardType ? eventOf(bytes) : null,
      record: hexDigits(bytes),
    },
  };
}

function eventOf(bytes: Uint8Array): SensorEvent {
  const page = pageReader('Entry of the controller’s event log', bytes);
  const kind = page.u8(12);
  const first = page.u8(13);
  return {
    sensorType: page.u8(10),
    sensor: page.u8(11),
    eventType: kind & 0x7f,
    began: !bit(kind, 7),
    offset: first & 0x0f,
    secondMeans: first >> 6,
    thirdMeans: (first >> 4) & 0x03,
    second: page.u8(14),
    third: page.u8(15),
  };
}

function timeOf(seconds: number): EventTime {
  if (seconds === never) return { known: 'nothing' };
  return { known: seconds <= beforeSetMax ? 'since-start' : 'seconds', seconds };
}

function told(seconds: number): number | null {
  return seconds === never || seconds === 0 ? null : seconds;
}
