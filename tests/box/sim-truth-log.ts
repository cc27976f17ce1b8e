import type { SimBoxParts } from './sim-box-parts.js';
import {
  driveTruthMetrics,
  identityOfChip,
  identityOfDrive,
  identityOfPci,
  truthOf,
} from './sim-truth.js';

interface Noted {
  readonly boot: number;
  readonly monoMs: number;
  readonly value: number;
}

interface Tracked {
  readonly identityKey: string;
  readonly metric: string;
  readonly place?: string;
}

const pciMetrics = [
  'pci-link-speed',
  'pci-link-lanes',
  'network-rate',
  'network-receive-errors',
  'network-checksum-errors',
  'network-carrier-changes',
];

/** Every change of the box's truth with the moment from which it held. */
export class TruthLog {
  readonly #parts: SimBoxParts;
  readonly #tracked: readonly Tracked[];
  readonly #noted = new Map<string, Noted[]>();

  constructor(parts: SimBoxParts) {
    this.#parts = parts;
    this.#tracked = trackedOf(parts);
  }

  note({ boot, monoMs }: { boot: number; monoMs: number }): void {
    for (const one of this.#tracked) {
      const value = truthOf(this.#parts, one);
      if (value === null) continue;
      const key = keyOf(one);
      const list = this.#noted.get(key) ?? [];
      this.#noted.set(key, list);
      const last = list.at(-1);
      if (last?.value !== value || last.boot !== boot) list.push({ boot, monoMs, value });
    }
  }

  /** Values that held at some moment of the span: the one it began with and all set within. */
  between(
    question: Tracked,
    span: { boot: number; fromMonoMs: number; toMonoMs: number },
  ): readonly number[] {
    const ofBoot = (this.#noted.get(keyOf(question)) ?? []).filter(
      ({ boot }) => boot === span.boot,
    );
    const held = ofBoot.filter(({ monoMs }, index) => {
      const untilMs = ofBoot[index + 1]?.monoMs ?? Number.POSITIVE_INFINITY;
      return monoMs <= span.toMonoMs && untilMs >= span.fromMonoMs;
    });
    return held.map(({ value }) => value);
  }
}

function keyOf({ identityKey, metric, place }: Tracked): string {
  return `${identityKey} ${metric} ${place ?? ''}`;
}

function trackedOf({ seats, pci, chips }: SimBoxParts): readonly Tracked[] {
  const drives = seats.flatMap((seat) =>
    [...driveTruthMetrics, 'pci-link-speed', 'pci-link-lanes'].map((metric) => ({
      identityKey: identityOfDrive(seat),
      metric,
    })),
  );
  const cards = pci.flatMap((one) =>
    pciMetrics.map((metric) => ({ identityKey: identityOfPci(one), metric })),
  );
  const sensors = chips.flatMap((chip) => [
    ...chip.temperatures.map(({ label }, index) => ({
      identityKey: identityOfChip(chip),
      metric: 'temperature',
      place: label ?? `temperature ${index + 1}`,
    })),
    ...chip.fans.map(({ label }, index) => ({
      identityKey: identityOfChip(chip),
      metric: 'fan-speed',
      place: label ?? `fan ${index + 1}`,
    })),
  ]);
  return [...drives, ...cards, ...sensors];
}
