import {
  type AbsenceKind,
  type Answer,
  answered,
  type ManagementCommand,
  missing,
} from '../box/box.js';
import {
  sensorLimitsCommand,
  sensorListCommand,
  sensorListHoldCommand,
  sensorReadingCommand,
  wholeRecord,
} from '../box/layouts/ipmi-commands.js';
import {
  decodeSensorAnswer,
  decodeSensorLimits,
  type SensorAnswer,
} from '../box/layouts/ipmi-sensor.js';
import {
  decodeRecordLength,
  decodeSensorRecord,
  type SensorRecord,
} from '../box/layouts/ipmi-sensor-list.js';
import { decoded } from './decoded.js';

/** Asks the controller one command. */
export type AskController = (command: ManagementCommand) => Promise<Answer<Uint8Array>>;

export interface SensorList {
  readonly sensors: readonly SensorRecord[];
  /** Why the list is not whole, or null when it is. */
  readonly why: string | null;
}

/** More records than any board has; a list that turns in a circle ends here. */
const recordsMax = 1000;
const firstRecord = 0;
const noMoreRecords = 0xffff;
const ownAddress = 0x20;

/** Walks through the list of sensors once. A record that is damaged is passed over. */
export async function readSensorList(ask: AskController): Promise<SensorList> {
  const sensors: SensorRecord[] = [];
  let recordId = firstRecord;
  let damaged: string | null = null;
  for (let count = 0; count < recordsMax; count += 1) {
    const answer = await readRecord(ask, recordId);
    if (!answer.ok) return { sensors, why: answer.absence.text };
    const found = decoded(() => decodeSensorRecord(answer.value.record));
    if (found.ok) sensors.push(...found.value);
    else damaged = found.absence.text;
    if (answer.value.next === noMoreRecords || answer.value.next === recordId) {
      return { sensors: withOwnNames(sensors), why: damaged };
    }
    recordId = answer.value.next;
  }
  return { sensors: withOwnNames(sensors), why: 'Its list of sensors has no end' };
}

/** Boards name several sensors alike, such as those of two processors. */
function withOwnNames(sensors: readonly SensorRecord[]): readonly SensorRecord[] {
  const counts = new Map<string, number>();
  for (const { name } of sensors) counts.set(name, (counts.get(name) ?? 0) + 1);
  return sensors.map((sensor) =>
    (counts.get(sensor.name) ?? 0) > 1
      ? { ...sensor, name: `${sensor.name}, sensor ${sensor.number}` }
      : sensor,
  );
}

interface ListRecord {
  readonly next: number;
  readonly record: Uint8Array;
}

/**
 * Whole, or in parts where the controller hands out no whole records. Of a part after the first the
 * controller wants to know which hold on its list it belongs to.
 */
async function readRecord(ask: AskController, recordId: number): Promise<Answer<ListRecord>> {
  const whole = await ask(sensorListCommand(recordId, wholeRecord));
  if (whole.ok) return splitRecord(whole.value);
  return whole.absence.kind === 'refused' ? readInParts(ask, recordId) : whole;
}

const partBytes = 16;
const headBytes = 5;

async function readInParts(ask: AskController, recordId: number): Promise<Answer<ListRecord>> {
  const held = await ask(sensorListHoldCommand);
  if (!held.ok) return held;
  const hold = (held.value[0] ?? 0) + (held.value[1] ?? 0) * 256;
  const part = async (offset: number, bytes: number) => {
    const answer = await ask(sensorListCommand(recordId, { hold, offset, bytes }));
    return answer.ok ? splitRecord(answer.value) : answer;
  };
  const head = await part(0, headBytes);
  if (!head.ok) return head;
  const length = decoded(() => decodeRecordLength(head.value.record));
  if (!length.ok) return length;
  const parts = [head.value.record];
  for (let offset = headBytes; offset < length.value; offset += partBytes) {
    const next = await part(offset, Math.min(partBytes, length.value - offset));
    if (!next.ok) return next;
    parts.push(next.value.record);
  }
  return answered({
    next: head.value.next,
    record: Uint8Array.from(parts.flatMap((one) => [...one])),
  });
}

function splitRecord(data: Uint8Array): Answer<ListRecord> {
  const [low, high] = data;
  if (low === undefined || high === undefined) {
    return missing('damaged', 'An answer about the list of sensors is too short');
  }
  return answered({ next: low + high * 256, record: data.subarray(2) });
}

/** Limits that hold now, where the controller tells them; else those of its list. */
export async function withLimitsOfNow(
  ask: AskController,
  sensors: readonly SensorRecord[],
): Promise<readonly SensorRecord[]> {
  const found: SensorRecord[] = [];
  let tells = true;
  for (const sensor of sensors) {
    const wanted = tells && isOwn(sensor) && hasLimits(sensor);
    const answer = wanted ? await ask(sensorLimitsCommand(sensor.number)) : null;
    const limits = answer?.ok ? decoded(() => decodeSensorLimits(answer.value)) : null;
    found.push(limits?.ok ? { ...sensor, limits: limits.value } : sensor);
    if (answer?.ok === false) tells = isAboutOneSensor(answer.absence.kind);
  }
  return found;
}

/** Other refusals are about the question itself, which is not asked again then. */
function isAboutOneSensor(kind: AbsenceKind): boolean {
  return kind === 'not-there' || kind === 'refused';
}

function hasLimits({ limits }: SensorRecord): boolean {
  return Object.values(limits).some((limit) => limit !== null);
}

/** Sensors of other controllers on the board would have to be asked through this one. */
export function isOwn({ owner, unitOfOwner }: SensorRecord): boolean {
  return owner === ownAddress && unitOfOwner === 0;
}

export interface SensorTold {
  readonly sensor: SensorRecord;
  readonly answer: Answer<SensorAnswer>;
}

export async function askSensors(
  ask: AskController,
  sensors: readonly SensorRecord[],
): Promise<readonly SensorTold[]> {
  const told: SensorTold[] = [];
  for (const sensor of sensors) told.push({ sensor, answer: await askSensor(ask, sensor) });
  return told;
}

const silent: readonly AbsenceKind[] = ['timed-out', 'gone'];

/**
 * Asks no more after one question without an answer: a controller that hangs would hold up the
 * round for minutes.
 */
export function untilSilent(ask: AskController): AskController {
  let silence: Answer<Uint8Array> | null = null;
  return async (command) => {
    if (silence !== null) return silence;
    const answer = await ask(command);
    if (!answer.ok && silent.includes(answer.absence.kind)) silence = answer;
    return answer;
  };
}

async function askSensor(ask: AskController, sensor: SensorRecord): Promise<Answer<SensorAnswer>> {
  if (!isOwn(sensor)) {
    const why = 'The sensor belongs to another controller on the board, which is not asked';
    return missing('not-supported', why);
  }
  const answer = await ask(sensorReadingCommand(sensor.number));
  return answer.ok ? decoded(() => decodeSensorAnswer(answer.value)) : answer;
}
