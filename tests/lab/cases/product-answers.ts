import type { Machine } from '../machine/machine.js';

/** A reading as the product prints it; only what the cases look at. */
export interface PrintedReading {
  readonly metric: string;
  readonly place?: string;
  readonly value: number | null;
  readonly state: string;
  readonly source: string;
  readonly why?: string;
}

export interface Decoded {
  readonly identity: Readonly<Record<string, string | number | boolean | null>>;
  readonly readings: readonly PrintedReading[];
  readonly remarks: readonly string[];
}

/** Captures one drive inside the machine with the product, and decodes the file with it. */
export async function captureAndDecode(machine: Machine, serial: string): Promise<Decoded> {
  const commands = `rm -f /tmp/taken && bayward capture ${serial} --file /tmp/taken && bayward decode /tmp/taken --json`;
  const printed = await machine.must(['/bin/sh', '-c', commands], { deadlineMs: 120_000 });
  return JSON.parse(printed) as Decoded;
}

/** The reading of a metric without a place; throws when the product printed none. */
export function readingOf(decoded: Decoded, metric: string): PrintedReading {
  const found = decoded.readings.find((one) => one.metric === metric && one.place === undefined);
  if (found === undefined) throw new Error(`No reading of ${metric} was printed`);
  return found;
}

/** Values by metric for the metrics that are named, null where there is no figure. */
export function valuesOf(
  decoded: Decoded,
  metrics: readonly string[],
): Record<string, number | null> {
  return Object.fromEntries(metrics.map((metric) => [metric, readingOf(decoded, metric).value]));
}

/** Path of a disk inside the machine by its serial: letters differ from boot to boot. */
export async function diskPath(machine: Machine, serial: string): Promise<string> {
  const find = `for disk in /sys/block/*; do
    if grep -q ${serial} $disk/device/vpd_pg80 $disk/device/serial 2>/dev/null; then echo /dev/\${disk##*/}; fi
  done`;
  const paths = (await machine.must(['/bin/sh', '-c', find])).trim().split('\n');
  const [path] = paths;
  if (paths.length !== 1 || path === undefined || path === '') {
    throw new Error(`Expected one disk with serial ${serial}, found "${paths.join(' ')}"`);
  }
  return path;
}
