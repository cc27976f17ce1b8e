import type { ManagementCommand } from '../box.js';

/**
 * The commands that a management controller is asked: those that read, and no other. Numbers as in
 * the IPMI 2.0 specification, its list of commands, from memory.
 */

const application = 0x06;
const storage = 0x0a;
const sensors = 0x04;

/** A slow controller takes tenths of a second; the kernel gives one up after about ten. */
const deadlineMs = 10_000;
/** The first question waits shorter, since the start of the agent waits for it. */
const firstDeadlineMs = 5_000;

export const deviceIdCommand: ManagementCommand = {
  name: 'the identity of the controller',
  netFunction: application,
  command: 0x01,
  data: new Uint8Array(0),
  deadlineMs: firstDeadlineMs,
};

export const eventLogInfoCommand = reading('the state of its event log', storage, 0x40);
export const eventLogTimeCommand = reading('the clock of its event log', storage, 0x48);
export const sensorListInfoCommand = reading('the state of its list of sensors', storage, 0x20);
/** Changes nothing: an older reservation lapses, so that two readers do not mix their halves. */
export const sensorListHoldCommand = reading('a hold on its list of sensors', storage, 0x22);

/** One entry of the event log, whole; 0000h is the oldest. No hold is needed for a whole one. */
export function eventLogEntryCommand(entryId: number): ManagementCommand {
  const data = [0, 0, low(entryId), high(entryId), 0, 0xff];
  return { ...reading('an entry of its event log', storage, 0x43), data: Uint8Array.from(data) };
}

export interface SensorListPart {
  /** 0 for a part that begins the record. */
  readonly hold: number;
  readonly offset: number;
  /** 255 asks for the whole record. */
  readonly bytes: number;
}

export const wholeRecord: SensorListPart = { hold: 0, offset: 0, bytes: 0xff };

/** A record of the list of sensors, or a part of it; 0000h is the first. */
export function sensorListCommand(recordId: number, part: SensorListPart): ManagementCommand {
  const { hold, offset, bytes } = part;
  const data = [low(hold), high(hold), low(recordId), high(recordId), offset, bytes];
  return {
    ...reading('a record of its list of sensors', storage, 0x23),
    data: Uint8Array.from(data),
  };
}

export function sensorReadingCommand(sensor: number): ManagementCommand {
  return { ...reading('a sensor', sensors, 0x2d), data: Uint8Array.of(sensor & 0xff) };
}

export function sensorLimitsCommand(sensor: number): ManagementCommand {
  return {
    ...reading('the limits of a sensor', sensors, 0x27),
    data: Uint8Array.of(sensor & 0xff),
  };
}

/** Net function, command and bytes of data of everything that may be sent. */
const mayBeSent: readonly (readonly [number, number, number])[] = [
  [application, 0x01, 0],
  [storage, 0x20, 0],
  [storage, 0x22, 0],
  [storage, 0x23, 6],
  [storage, 0x40, 0],
  [storage, 0x43, 6],
  [storage, 0x48, 0],
  [sensors, 0x27, 1],
  [sensors, 0x2d, 1],
];

/** Only what is on the list reaches the controller, whoever asks. */
export function readsOnly({ netFunction, command, data }: ManagementCommand): boolean {
  return mayBeSent.some(
    ([function_, number, bytes]) =>
      function_ === netFunction && number === command && bytes === data.length,
  );
}

function reading(name: string, netFunction: number, command: number): ManagementCommand {
  return { name, netFunction, command, data: new Uint8Array(0), deadlineMs };
}

function low(value: number): number {
  return value & 0xff;
}

function high(value: number): number {
  return (value >> 8) & 0xff;
}
