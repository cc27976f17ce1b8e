import { type Answer, answered, type ManagementCommand, missing } from '../../src/agent/box/box.js';
import { readsOnly } from '../../src/agent/box/layouts/ipmi-commands.js';
import { completionAbsence } from '../../src/agent/box/layouts/ipmi-message.js';

/** A management controller that answers bytes; everything about it may be changed by a test. */
export class SimController {
  /** Whole records of its list of sensors, in order. */
  records: Uint8Array[] = [];
  /** Answer to Get Sensor Reading by the number of the sensor. */
  readonly readings = new Map<number, Uint8Array>();
  /** Answer to Get Sensor Thresholds; a sensor without one is refused. */
  readonly limits = new Map<number, Uint8Array>();
  /** Entries of its log, 16 bytes each, oldest first. */
  log: Uint8Array[] = [];
  clockSeconds = 0x66543300;
  lastErase = 0xffffffff;
  /** Hands out no whole records of the list. */
  refusesWhole = false;
  /** Answers nothing from this question on. */
  silentAfter = Number.POSITIVE_INFINITY;
  present = true;
  readonly asked: string[] = [];
  readonly identity = Uint8Array.of(0x20, 0x81, 3, 0x61, 2, 0xbf, 0x7c, 0x2a, 0, 0x34, 0x12);

  readonly management = async (command: ManagementCommand): Promise<Answer<Uint8Array>> => {
    if (!readsOnly(command))
      throw new Error(`Asked for ${command.name}, which is more than reading`);
    this.asked.push(`${command.netFunction.toString(16)} ${command.command.toString(16)}`);
    if (!this.present) return missing('not-there', 'Opening the management controller failed');
    if (this.asked.length > this.silentAfter) {
      return missing('timed-out', `No answer to ${command.name} in ${command.deadlineMs} ms`);
    }
    const found = this.#answer(command);
    return typeof found === 'number'
      ? { ok: false, absence: completionAbsence(command.name, found) }
      : answered(found);
  };

  #answer({ netFunction, command, data }: ManagementCommand): Uint8Array | number {
    switch (netFunction * 256 + command) {
      case 0x0601:
        return this.identity;
      case 0x0a22:
        return Uint8Array.of(0x34, 0x12);
      case 0x0a23:
        return this.#record(data);
      case 0x0a40:
        return this.#logInfo();
      case 0x0a43:
        return this.#entry((data[2] ?? 0) + (data[3] ?? 0) * 256);
      case 0x0a48:
        return Uint8Array.from(little(this.clockSeconds, 4));
      case 0x042d:
        return this.readings.get(data[0] ?? 0) ?? 0xcb;
      case 0x0427:
        return this.limits.get(data[0] ?? 0) ?? 0xc1;
      default:
        return 0xc1;
    }
  }

  #record(data: Uint8Array): Uint8Array | number {
    const [holdLow = 0, holdHigh = 0, low = 0, high = 0, offset = 0, bytes = 0] = data;
    const id = low + high * 256;
    const index = id === 0 ? 0 : this.records.findIndex((one) => idOf(one) === id);
    const record = this.records[index];
    if (record === undefined) return 0xcb;
    if (this.refusesWhole && bytes > 16) return 0xca;
    if (offset > 0 && holdLow + holdHigh * 256 !== 0x1234) return 0xc5;
    const next = this.records[index + 1];
    const part = bytes === 0xff ? record : record.subarray(offset, offset + bytes);
    return Uint8Array.of(...little(next === undefined ? 0xffff : idOf(next), 2), ...part);
  }

  #logInfo(): Uint8Array {
    const newest = this.log.at(-1);
    const time = newest === undefined ? [0, 0, 0, 0] : [...newest.subarray(3, 7)];
    const free = little(1024 - 16 * this.log.length, 2);
    const count = little(this.log.length, 2);
    return Uint8Array.of(0x51, ...count, ...free, ...time, ...little(this.lastErase, 4), 0x02);
  }

  #entry(id: number): Uint8Array | number {
    const index = id === 0 ? 0 : this.log.findIndex((one) => idOf(one) === id);
    const entry = this.log[index];
    if (entry === undefined) return 0xcb;
    const next = this.log[index + 1];
    return Uint8Array.of(...little(next === undefined ? 0xffff : idOf(next), 2), ...entry);
  }
}

function idOf(record: Uint8Array): number {
  return (record[0] ?? 0) + (record[1] ?? 0) * 256;
}

function little(value: number, bytes: number): number[] {
  return Array.from({ length: bytes }, (_, index) => Math.floor(value / 256 ** index) % 256);
}
