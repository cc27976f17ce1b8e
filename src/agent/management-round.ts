import type { Inventory, ManagementSeen, PartReadings } from '../checks/part.js';
import type { Box } from './box/box.js';
import { readControllerLog } from './probes/management-log.js';
import { controllerEvents, controllerLogReadings } from './probes/management-log-events.js';
import { managementReadings } from './probes/management-readings.js';
import {
  type AskController,
  askSensors,
  readSensorList,
  type SensorList,
  untilSilent,
  withLimitsOfNow,
} from './probes/management-sensors.js';
import type { EventsToKeep, Instant } from './store/rows.js';
import type { StoreWriter } from './store/store.js';

export interface ManagementRead {
  readonly part: PartReadings;
  /** Null when the log was not read. */
  readonly events: EventsToKeep | null;
}

const noSensors: SensorList = { sensors: [], why: null };

/**
 * Asks the board's controller for its sensors and for what is new in its log. Its list of sensors
 * is read once, and again only when it could not be read to its end.
 */
export class ManagementRound {
  readonly #box: Box;
  readonly #store: StoreWriter;
  #list: SensorList | null = null;
  #why: string | null = null;

  constructor(parts: { readonly box: Box; readonly store: StoreWriter }) {
    this.#box = parts.box;
    this.#store = parts.store;
  }

  /** Why sensors or the log were not read, or null when they were. */
  get why(): string | null {
    return this.#why;
  }

  /** Null where no controller was seen. */
  async read({ management }: Inventory, now: () => Instant): Promise<ManagementRead | null> {
    const { management: question } = this.#box;
    if (management === undefined || question === undefined) return null;
    const ask = untilSilent((command) => question.call(this.#box, command));
    const list = await this.#sensorList(ask, management);
    const told = await askSensors(ask, list.sensors);
    const log = await this.#readLog(ask, management);
    const whys = [list.why, log.why].filter((one) => one !== null);
    this.#why =
      whys.length === 0 ? null : `Of the management controller not all is read: ${whys.join('; ')}`;
    const at = now();
    const readings = [
      ...told.flatMap(managementReadings),
      ...(log.look === null ? [] : controllerLogReadings(log.look, at)),
    ];
    const around = { seen: management, sensors: list.sensors, now: at };
    return {
      part: { identityKey: management.identityKey, readings },
      events: log.look === null ? null : controllerEvents(log.look, around),
    };
  }

  async #sensorList(ask: AskController, seen: ManagementSeen): Promise<SensorList> {
    if (!seen.hasSensorList) return { ...noSensors, why: 'it says that it has no list of sensors' };
    if (this.#list === null || (this.#list.why !== null && this.#list.sensors.length === 0)) {
      const list = await readSensorList(ask);
      this.#list = { ...list, sensors: await withLimitsOfNow(ask, list.sensors) };
    }
    return this.#list;
  }

  async #readLog(ask: AskController, { hasEventLog, identityKey }: ManagementSeen) {
    if (!hasEventLog) return { look: null, why: 'it says that it has no event log' };
    const answer = await readControllerLog(ask, this.#store.controllerLog(identityKey));
    return answer.ok
      ? { look: answer.value, why: answer.value.why }
      : { look: null, why: answer.absence.text };
  }
}
