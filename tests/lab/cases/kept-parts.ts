import type { Machine } from '../machine/machine.js';

/** What `status --json` tells; only what a case of comings and goings looks at. */
export interface PrintedStatus {
  readonly findings: readonly { readonly code: string; readonly subject: string }[];
  readonly groups: readonly {
    readonly kind: string;
    readonly parts: readonly PrintedPart[];
  }[];
}

interface PrintedPart {
  readonly id: string;
  readonly present: boolean;
  readonly gone?: { readonly lastPlace: string | null };
  readonly sentences: readonly string[];
  readonly figures: readonly {
    readonly metric: string;
    readonly state: string;
    readonly value: number | null;
    readonly ageMs: number | null;
  }[];
}

export async function statusOf(machine: Machine): Promise<PrintedStatus> {
  const end = await machine.run(['/bin/bayward', 'status', '--json']);
  if (end.printed === '') throw new Error(`Status printed nothing: ${end.complaints}`);
  return JSON.parse(end.printed) as PrintedStatus;
}

export function drivesOf({ groups }: PrintedStatus): readonly PrintedPart[] {
  return groups.flatMap(({ kind, parts }) => (kind === 'drive' ? parts : []));
}

const readStore = `
import Database from 'better-sqlite3';
const store = new Database('/var/lib/bayward/store.sqlite', { readonly: true });
const parts = store.prepare("SELECT name, id FROM part WHERE kind = 'drive' ORDER BY name").raw().all();
const seriesTwice = store.prepare(\`SELECT count(*) FROM
  (SELECT 1 FROM series GROUP BY part_id, metric, place, unit, source HAVING count(*) > 1)\`).pluck().get();
const events = store.prepare(\`SELECT event.kind AS kind, part.name AS part, event.mono_ms AS monoMs
  FROM event JOIN part ON part.id = event.part_id WHERE event.kind LIKE 'part-%' ORDER BY event.id\`).all();
console.log(JSON.stringify({ parts, seriesTwice, events }));
`;

/** What the store holds, read from the file itself. */
export interface Kept {
  /** Drives by serial with their number. */
  readonly parts: readonly (readonly [string, number])[];
  /** Figures that are kept in two series of one part. */
  readonly seriesTwice: number;
  /** What looks at the box told, with milliseconds since boot. */
  readonly events: readonly {
    readonly kind: string;
    readonly part: string;
    readonly monoMs: number;
  }[];
}

export async function keptInStore(machine: Machine): Promise<Kept> {
  const shell = ['/bin/sh', '-c', 'cd /opt/bayward && node --input-type=module'];
  return JSON.parse(await machine.must(shell, { input: readStore })) as Kept;
}

/** Kinds of what looks at the box told of a drive, oldest first. */
export function comingsOf({ events }: Kept, serial: string): readonly string[] {
  return events.filter(({ part }) => part === serial).map(({ kind }) => kind);
}

/** Milliseconds since the machine's boot, by its own clock. */
export async function upMs(machine: Machine): Promise<number> {
  const [seconds] = (await machine.must(['/bin/cat', '/proc/uptime'])).split(' ');
  return Number(seconds) * 1000;
}
