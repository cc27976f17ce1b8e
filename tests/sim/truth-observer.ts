import Database from 'better-sqlite3';
import type { SimBox } from '../box/sim-box.js';
import { simNature } from '../box/sim-drive-state.js';
import { rateAt } from '../box/sim-speed.js';
import type { BootSpan } from './run-agent.js';

/** What an observer saw who knows both the store's file and the truth of the simulated box. */
export interface Observation {
  /** One sentence for each row that is not the truth. Empty when all is well. */
  readonly complaints: readonly string[];
  /** How many measured rows were compared with the truth, by metric. */
  readonly compared: Readonly<Record<string, number>>;
  /** How many rows there were in each state. */
  readonly states: Readonly<Record<string, number>>;
  readonly speedsCompared: number;
}

interface Row {
  readonly identityKey: string;
  readonly metric: string;
  readonly place: string;
  readonly boot: number;
  readonly monoMs: number;
  readonly lastMonoMs: number;
  readonly state: string;
  readonly value: number | null;
  readonly text: string;
}

interface SpeedRow {
  readonly name: string;
  readonly place: number;
  readonly rate: number;
}

/** A look may take this long: a drive that spins up answers its first question after 6 s. */
const lookMsMax = 15_000;
/** Single transfers cost some time beside their bytes, and chance moves each by 1 %. */
const rateShareMin = 0.93;
const rateShareMax = 1.02;

const readings = `SELECT part.identity_key AS identityKey, metric, place, reading.boot AS boot,
  mono_ms AS monoMs, reading.last_mono_ms AS lastMonoMs, state, value, text
  FROM every_reading AS reading JOIN series ON series.id = series_id JOIN part ON part.id = part_id`;

const speeds = `SELECT part.name AS name, place, bytes_per_second AS rate
  FROM speed JOIN part ON part.id = part_id WHERE complete = 1`;

/**
 * Compares every row of the store with the truth. It reads the file by itself: none of the code
 * that wrote the rows or that shows them has a say here.
 */
export function observe(
  storeFile: string,
  { box, spans }: { readonly box: SimBox; readonly spans: readonly BootSpan[] },
): Observation {
  const db = new Database(storeFile, { readonly: true });
  const complaints: string[] = [];
  const compared: Record<string, number> = {};
  const states: Record<string, number> = {};
  let speedsCompared = 0;
  try {
    for (const row of db.prepare<[], Row>(readings).iterate()) {
      states[row.state] = (states[row.state] ?? 0) + 1;
      const span = spans.find(({ boot }) => boot === row.boot);
      const wrong = wrongIn(row, span) ?? wrongAgainstTruth(row, { box, span, compared });
      if (wrong !== null) complaints.push(`${wordsOf(row)}: ${wrong}`);
    }
    for (const row of db.prepare<[], SpeedRow>(speeds).iterate()) {
      const wrong = wrongSpeed(row, box);
      speedsCompared += 1;
      if (wrong !== null) complaints.push(wrong);
    }
    complaints.push(...wrongBoots(db, spans));
  } finally {
    db.close();
  }
  return { complaints, compared, states, speedsCompared };
}

/** What is wrong with a row whatever the truth is: no state, no reason, a time when nothing ran. */
function wrongIn(row: Row, span: BootSpan | undefined): string | null {
  if (span === undefined) return 'there was no such boot';
  if (row.monoMs < 0 || row.lastMonoMs > span.endedMs) {
    return `stored for ${row.lastMonoMs} ms, when the box was off; it went off at ${span.endedMs}`;
  }
  if (row.state === 'box-off') return 'a reading says that the box was off while somebody read it';
  if (row.state === 'measured') return row.value === null ? 'measured without a figure' : null;
  if (row.value !== null) return `${row.state}, and yet a figure`;
  return row.text === '' ? `${row.state} without a reason` : null;
}

interface Known {
  readonly box: SimBox;
  readonly span: BootSpan | undefined;
  readonly compared: Record<string, number>;
}

function wrongAgainstTruth(row: Row, { box, span, compared }: Known): string | null {
  const boot = span?.boxBoot ?? 0;
  const heldAt = (metric: string, monoMs: number) =>
    box.truthsBetween(question(row, metric), {
      boot,
      fromMonoMs: Math.max(0, monoMs - lookMsMax),
      toMonoMs: monoMs,
    });
  if (row.state === 'asleep') {
    const isTrue = [row.monoMs, row.lastMonoMs].every((at) => heldAt('power-mode', at).includes(0));
    return isTrue ? null : 'said to be asleep, and was awake';
  }
  if (row.state !== 'measured' || row.value === null) return null;
  const truths = [row.monoMs, row.lastMonoMs].map((at) => heldAt(row.metric, at));
  if (truths.every((held) => held.length === 0)) return null;
  compared[row.metric] = (compared[row.metric] ?? 0) + 1;
  const { value } = row;
  const isTrue = truths.every((held) => held.includes(value));
  return isTrue ? null : `the truth was ${truths.map((held) => held.join(' or ')).join(', then ')}`;
}

function question({ identityKey, place }: Row, metric: string) {
  return { identityKey, metric, ...(place === '' || metric === 'power-mode' ? {} : { place }) };
}

/** The rate where the drive was read, over a stretch that is short beside the drive. */
function wrongSpeed({ name, place, rate }: SpeedRow, box: SimBox): string | null {
  const { drive } = box.seat(name);
  const truth = rateAt(simNature(drive.options), place);
  const share = rate / truth;
  return share >= rateShareMin && share <= rateShareMax
    ? null
    : `Speed of ${name} at byte ${place} is stored as ${rate}, the truth is ${truth}`;
}

function wrongBoots(db: Database.Database, spans: readonly BootSpan[]): readonly string[] {
  const stored = db.prepare<[], { id: number; last: number }>(
    'SELECT id, last_mono_ms AS last FROM boot ORDER BY id',
  );
  const found = stored.all();
  const wrong = found.flatMap(({ id, last }) => {
    const span = spans.find(({ boot }) => boot === id);
    return span !== undefined && last <= span.endedMs
      ? []
      : [`Boot ${id} lasts longer than it was`];
  });
  return found.length === spans.length
    ? wrong
    : [...wrong, `${found.length} boots are stored, there were ${spans.length}`];
}

function wordsOf({ identityKey, metric, place, boot, monoMs, state, value }: Row): string {
  const where = place === '' ? '' : ` (${place})`;
  return `${identityKey} ${metric}${where} in boot ${boot} at ${monoMs} ms, ${state} ${value ?? ''}`;
}
