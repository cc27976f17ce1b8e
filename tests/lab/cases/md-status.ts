import type { Machine } from '../machine/machine.js';
import { until } from './guest-agent.js';

/** What `status --json` tells; only what the case of arrays looks at. */
interface PrintedStatus {
  readonly findings: readonly PrintedFinding[];
  readonly groups: readonly {
    readonly kind: string;
    readonly parts: readonly {
      readonly id: string;
      readonly sentences: readonly string[];
      readonly figures: readonly PrintedFigure[];
    }[];
  }[];
}

export interface PrintedFinding {
  readonly code: string;
  readonly urgency: string;
  readonly sentence: string;
  readonly nextStep: string;
}

interface PrintedFigure {
  readonly metric: string;
  readonly place: string;
  readonly value: number | null;
  readonly text: string;
}

/** An array as the product prints it. */
export class PrintedArray {
  readonly id: string;
  readonly sentences: string;
  readonly #figures: readonly PrintedFigure[];

  constructor(id: string, sentences: readonly string[], figures: readonly PrintedFigure[]) {
    this.id = id;
    this.sentences = sentences.join(' ');
    this.#figures = figures;
  }

  figure(metric: string): number | null {
    return this.#find(metric)?.value ?? null;
  }

  figures(metrics: readonly string[]): Record<string, number | null> {
    return Object.fromEntries(metrics.map((metric) => [metric, this.figure(metric)]));
  }

  /** Words of a figure, or why there is none. */
  text(metric: string): string {
    return this.#find(metric)?.text ?? 'not told at all';
  }

  /** Codes of its members by their serials. */
  members(): Record<string, number | null> {
    const states = this.#figures.filter(({ metric }) => metric === 'array-member-state');
    return Object.fromEntries(states.map(({ place, value }) => [place, value]));
  }

  #find(metric: string): PrintedFigure | undefined {
    return this.#figures.find((one) => one.metric === metric && one.place === '');
  }
}

/** Null when this computer is too busy for the machine to answer in time. */
async function statusOf(machine: Machine): Promise<PrintedStatus | null> {
  const end = await machine.run(['/bin/bayward', 'status', '--json'], { deadlineMs: 120_000 });
  if (end.signal === 'SIGKILL') return null;
  if (end.printed === '') throw new Error(`Status printed nothing: ${end.complaints}`);
  return JSON.parse(end.printed) as PrintedStatus;
}

/** The agent looks each minute, and an emulated machine is slow. */
const patience = { deadlineMs: 600_000, pollMs: 4000 };

/** Waits until the only array is as wished. */
export function untilArray(
  machine: Machine,
  what: string,
  isWished: (array: PrintedArray) => boolean,
): Promise<PrintedArray> {
  const look = async () => {
    const groups = (await statusOf(machine))?.groups ?? [];
    const [array] = groups.flatMap(({ kind, parts }) => (kind === 'array' ? parts : []));
    if (array === undefined) return null;
    const printed = new PrintedArray(array.id, array.sentences, array.figures);
    return isWished(printed) ? printed : null;
  };
  return until(what, look, patience);
}

export function untilFinding(machine: Machine, code: string): Promise<PrintedFinding> {
  const look = async () =>
    (await statusOf(machine))?.findings.find((one) => one.code === code) ?? null;
  return until(`finding ${code}`, look, patience);
}

export async function untilNoFinding(machine: Machine, code: string): Promise<true> {
  const look = async () => {
    const status = await statusOf(machine);
    const isOver = status !== null && !status.findings.some((one) => one.code === code);
    return isOver ? (true as const) : null;
  };
  return until(`the end of finding ${code}`, look, patience);
}

const pageLog = '/tmp/page.log';

/** The page, which gives up root; its user's number. */
export async function startPage(machine: Machine): Promise<number> {
  const pid = await machine.start(['/bin/bayward', 'start', '--only', 'web'], pageLog);
  const heard = async () => {
    const log = await machine.run(['/bin/grep', '^Page: ', pageLog]);
    return log.status === 0 ? true : null;
  };
  await until('the page', heard, patience);
  const status = await machine.must(['/bin/grep', '^Uid:', `/proc/${pid}/status`]);
  return Number(status.split(/\s+/)[2]);
}

/** Text of a page, without its marks. */
export async function pageText(machine: Machine, path: string): Promise<string> {
  const script = `console.log(await (await fetch('http://127.0.0.1:7420${path}')).text());`;
  const page = await machine.must(['/usr/bin/node', '--input-type=module'], {
    input: script,
    deadlineMs: 180_000,
  });
  return page.replaceAll(/<[^>]*>/g, ' ').replaceAll(/\s+/g, ' ');
}

/** When jobs ran last and what came of it, from the store itself. */
export async function jobsLike(machine: Machine, name: string): Promise<Record<string, string>> {
  const script = `
import Database from 'better-sqlite3';
const store = new Database('/var/lib/bayward/store.sqlite', { readonly: true });
const rows = store.prepare('select job, outcome from job where job like ?').all('${name}:%');
console.log(JSON.stringify(rows.map(({ job, outcome }) => [job.slice(${name.length + 1}), outcome])));
`;
  const input = ['/bin/sh', '-c', 'cd /opt/bayward && node --input-type=module'];
  const printed = await machine.must(input, { input: script, deadlineMs: 180_000 });
  const rows = JSON.parse(printed) as [string, string][];
  return Object.fromEntries(rows);
}

/** Sectors read from a disk so far, by the kernel's own count; requests alone, no commands. */
export async function sectorsRead(machine: Machine, path: string): Promise<number> {
  const stat = await machine.must(['/bin/cat', `/sys/block/${path.slice('/dev/'.length)}/stat`]);
  return Number(stat.trim().split(/\s+/)[2]);
}
