import type { SimBoxParts } from './sim-box-parts.js';
import type { SimNames, SimSeat } from './sim-plan.js';
import { roomAt, unrest, warmthAfter, warmthTarget } from './sim-warmth.js';

const sectorBytes = 512;
const requestBytes = 256 * 1024;

/** What passing time does to the parts of a box: warmth, and the household's own requests. */
export class SimPassing {
  readonly #parts: SimBoxParts;
  readonly #warmth = new Map<SimSeat, number>();
  readonly #timers = new Map<SimSeat, number>();
  readonly #seed: number;
  #elapsedMs = 0;

  constructor(parts: SimBoxParts, seed: number) {
    this.#parts = parts;
    this.#seed = seed;
  }

  /** The box was off: everything cools down to the room, and nothing is asked. */
  passOff(ms: number): void {
    this.#elapsedMs += ms;
    const room = this.#room();
    for (const seat of this.#parts.seats) {
      this.#warmth.set(seat, warmthAfter(this.#warmth.get(seat) ?? room, room, ms));
    }
    this.#show();
  }

  /**
   * The household's requests come in bursts, one at the end of each second, as a file server's do:
   * in between nothing is under way.
   */
  passOn(ms: number, names: ReadonlyMap<SimSeat, SimNames>): void {
    const secondsBefore = Math.floor(this.#elapsedMs / 1000);
    this.#elapsedMs += ms;
    const burstMs = (Math.floor(this.#elapsedMs / 1000) - secondsBefore) * 1000;
    const room = this.#room();
    for (const [seat, { counters }] of names) {
      const { drive, load, extraCelsius } = seat;
      const working = load.readBytesPerSecond + load.writeBytesPerSecond > 0;
      this.#keepAwake(seat, { working, ms });
      drive.settle();
      if (working) countLoad(seat, counters, burstMs);
      const target = warmthTarget(room, {
        kind: drive.options.kind,
        standby: drive.state.standby,
        working,
        extraCelsius,
      });
      this.#warmth.set(seat, warmthAfter(this.#warmth.get(seat) ?? target, target, ms));
    }
    this.#show();
  }

  #room(): number {
    const { celsius, swingCelsius } = this.#parts.room;
    return roomAt(celsius, swingCelsius, this.#elapsedMs);
  }

  /** A drive that the household uses does not fall asleep; one that slept starts for it. */
  #keepAwake(seat: SimSeat, { working, ms }: { working: boolean; ms: number }): void {
    if (seat.place === null) return;
    const { state } = seat.drive;
    const timer = this.#timers.get(seat);
    if (working && state.standbyAfterMs !== null) {
      this.#timers.set(seat, state.standbyAfterMs);
      state.standbyAfterMs = null;
    }
    if (working && state.standby) {
      state.standby = false;
      state.spinUps += 1;
      state.wokenBy.push('the household');
    }
    if (!working && timer !== undefined) {
      seat.drive.noteUse(ms);
      state.standbyAfterMs = timer;
      this.#timers.delete(seat);
    }
  }

  #show(): void {
    const room = this.#room();
    this.#parts.seats.forEach((seat, index) => {
      const { state } = seat.drive;
      const noise = unrest(this.#seed + index, this.#elapsedMs, 0.4);
      state.temperatureCelsius = Math.round((this.#warmth.get(seat) ?? room) + noise);
      state.temperatureHighestCelsius = Math.max(
        state.temperatureHighestCelsius,
        state.temperatureCelsius,
      );
    });
    this.#parts.chips.forEach((chip, index) => {
      for (const sensor of chip.temperatures) {
        if (sensor.aboveRoomCelsius === null) continue;
        const noise = unrest(this.#seed + 100 + index, this.#elapsedMs, 0.5);
        sensor.celsius = Math.round(2 * (room + sensor.aboveRoomCelsius + noise)) / 2;
      }
    });
  }
}

function countLoad({ drive, load }: SimSeat, counters: SimNames['counters'], ms: number): void {
  const [read, written] = [load.readBytesPerSecond, load.writeBytesPerSecond].map(
    (rate) => (rate * ms) / 1000,
  ) as [number, number];
  counters.reads += read / requestBytes;
  counters.sectorsRead += read / sectorBytes;
  counters.writes += written / requestBytes;
  counters.sectorsWritten += written / sectorBytes;
  counters.busyMs += Math.min(ms, ms * 0.3);
  drive.state.bytesRead += read;
  drive.state.bytesWritten += written;
}
