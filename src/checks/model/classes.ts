import { z } from 'zod';
import { complain, type ModelComplaint, showFound, showPath } from './complaint.js';
import * as f from './fields.js';
import { lineAt, plainValue, readLocated } from './located.js';

/** A neutral class of drives with the interval that its speed lies in. */
export interface DriveClass {
  readonly id: string;
  readonly rotating: boolean;
  /** Capacities that drives of the class are sold with, in bytes, both ends included. */
  readonly capacityFrom: number;
  readonly capacityTo: number;
  /** Sustained reading at the outer edge, bytes per second. */
  readonly outerLow: number;
  readonly outerHigh: number;
  /** Outer to inner speed; 1 for drives without a surface. */
  readonly zoneRatioLow: number;
  readonly zoneRatioHigh: number;
  /** Bits read per unreadable sector that data sheets of the class allow; null: not known. */
  readonly bitsPerUnreadable: number | null;
  /** Amperes at 12 V while starting, and watts at work and idle; null: not known. */
  readonly startAmperes: ClassSpan | null;
  readonly workWatts: ClassSpan | null;
  readonly idleWatts: ClassSpan | null;
  readonly source: string;
  readonly powerSource: string | null;
}

export interface ClassSpan {
  readonly low: number;
  readonly high: number;
}

const classSchema = z.strictObject({
  id: f.id(),
  rotating: f.yesOrNo(),
  'capacity-from': f.quantity('capacity'),
  'capacity-to': f.quantity('capacity'),
  'outer-low': f.quantity('rate'),
  'outer-high': f.quantity('rate'),
  'zone-ratio-low': f.amount('a ratio from 1 to 4', 4),
  'zone-ratio-high': f.amount('a ratio from 1 to 4', 4),
  'bits-per-unreadable': f.errorBits().optional(),
  'start-amperes': span('amperes from 0 to 20', 20).optional(),
  'work-watts': span('watts from 0 to 100', 100).optional(),
  'idle-watts': span('watts from 0 to 100', 100).optional(),
  'power-source': f.words().optional(),
  source: f.words(),
});

function span(expected: string, largest: number) {
  const one = f.amount(expected, largest);
  return z
    .tuple([one, one])
    .refine(([low, high]) => low <= high, { error: 'the smaller end first' })
    .transform(([low, high]): ClassSpan => ({ low, high }));
}

const fileSchema = z.strictObject({ class: z.array(classSchema) });

/**
 * Reads the file of part classes. Returns the classes, or complaints with lines when the file is
 * not what it should be. An interval whose ends are the wrong way round is a fault. Never throws.
 */
export function parseClasses(
  text: string,
):
  | { readonly classes: readonly DriveClass[] }
  | { readonly complaints: readonly ModelComplaint[] } {
  const read = readLocated(text);
  if ('complaints' in read) return read;
  const result = fileSchema.safeParse(plainValue(read.root), { reportInput: true });
  if (!result.success) {
    const complaints = result.error.issues.map((issue) =>
      complain({
        line: lineAt(read.root, issue.path),
        key: showPath(issue.path),
        expected: issue.message,
        found: showFound(issue.input),
      }),
    );
    return { complaints };
  }
  const classes = result.data.class.map(toClass);
  const complaints = classes.flatMap((one, index) => {
    if (inOrder(one)) return [];
    const [path, expected] = [['class', index], 'intervals with the smaller end first'];
    return [
      complain({ line: lineAt(read.root, path), key: showPath(path), expected, found: one.id }),
    ];
  });
  return complaints.length > 0 ? { complaints } : { classes };
}

function toClass(entry: z.output<typeof classSchema>): DriveClass {
  return {
    id: entry.id,
    rotating: entry.rotating,
    capacityFrom: entry['capacity-from'],
    capacityTo: entry['capacity-to'],
    outerLow: entry['outer-low'],
    outerHigh: entry['outer-high'],
    zoneRatioLow: entry['zone-ratio-low'],
    zoneRatioHigh: entry['zone-ratio-high'],
    bitsPerUnreadable: entry['bits-per-unreadable'] ?? null,
    startAmperes: entry['start-amperes'] ?? null,
    workWatts: entry['work-watts'] ?? null,
    idleWatts: entry['idle-watts'] ?? null,
    powerSource: entry['power-source'] ?? null,
    source: entry.source,
  };
}

function inOrder(one: DriveClass): boolean {
  const zones = one.zoneRatioLow >= 1 && one.zoneRatioLow <= one.zoneRatioHigh;
  return zones && one.capacityFrom <= one.capacityTo && one.outerLow <= one.outerHigh;
}
