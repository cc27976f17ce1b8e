/** Rows are checked when they are read back: a damaged or foreign row is named, never believed. */
import { z } from 'zod';
import { readingStates, type Unit } from '../../checks/reading.js';
import { exitCodes, UserError } from '../../checks/user-error.js';
import type { LatestReading, ReadingRow } from './rows.js';

export const whole = z.number().int();
export const flag = z.number().transform((value) => value === 1);

/** A column of JSON text, decoded and then checked. */
export function jsonOf<T extends z.ZodType>(inner: T) {
  return z
    .string()
    .transform((text, context): unknown => {
      try {
        return JSON.parse(text);
      } catch {
        context.addIssue({ code: 'custom', message: 'is not JSON' });
        return z.NEVER;
      }
    })
    .pipe(inner);
}

export const anyObject = z.record(z.string(), z.unknown());

/** Decodes one row of `table`; a row that breaks the schema is an error that names the table. */
export function decodeRow<T>(table: string, schema: z.ZodType<T>, row: unknown): T {
  const result = schema.safeParse(row);
  if (result.success) {
    return result.data;
  }
  const issue = result.error.issues[0];
  throw damagedRow(table, `column ${issue?.path.join('.') ?? '?'}: ${issue?.message ?? '?'}`);
}

export function damagedRow(table: string, what: string): UserError {
  return new UserError(
    'store-damaged',
    `The store holds a damaged row in table ${table}, ${what}`,
    {
      exitCode: exitCodes.badInput,
      hint: 'Move the store away and put a copy back; starting without it begins a new history',
    },
  );
}

/** The record makes the compiler refuse a list that misses a unit. */
export const unitNames: Readonly<Record<Unit, true>> = {
  hours: true,
  minutes: true,
  seconds: true,
  milliseconds: true,
  celsius: true,
  count: true,
  sectors: true,
  bytes: true,
  'bytes-per-second': true,
  'bits-per-second': true,
  lanes: true,
  'gigatransfers-per-second': true,
  percent: true,
  rpm: true,
  volts: true,
  milliamperes: true,
  watts: true,
  microwatts: true,
  'unix-seconds': true,
  code: true,
};

const states: ReadonlySet<unknown> = new Set(readingStates);

/** Readings are many, so they are checked by hand. */
export function decodeReading(row: unknown): ReadingRow {
  if (!isReading(row)) {
    throw damagedRow('reading', `found ${JSON.stringify(row)}`);
  }
  return row;
}

function isReading(row: unknown): row is ReadingRow {
  if (typeof row !== 'object' || row === null) {
    return false;
  }
  const { seriesId, boot, monoMs, wallMs, lastMonoMs, lastWallMs, state, value, low, high, text } =
    row as Record<keyof ReadingRow, unknown>;
  const times = [seriesId, boot, monoMs, wallMs, lastMonoMs, lastWallMs];
  return (
    times.every(Number.isSafeInteger) &&
    states.has(state) &&
    (state === 'measured' ? Number.isFinite(value) : value === null) &&
    [low, high].every((bound) => bound === null || Number.isFinite(bound)) &&
    typeof text === 'string'
  );
}

/** The same for the newest readings: every check of every part asks for them. */
export function decodeLatest(row: unknown): LatestReading {
  if (!isReading(row) || !isLatest(row)) {
    throw damagedRow('reading', `found ${JSON.stringify(row)}`);
  }
  return row;
}

function isLatest(row: ReadingRow): row is LatestReading {
  const { metric, place, unit, source, firstValue, firstWallMs } = row as ReadingRow &
    Record<keyof LatestReading, unknown>;
  return (
    [metric, place, source].every((text) => typeof text === 'string') &&
    typeof unit === 'string' &&
    Object.hasOwn(unitNames, unit) &&
    (firstValue === null || Number.isFinite(firstValue)) &&
    (firstWallMs === null || Number.isSafeInteger(firstWallMs))
  );
}
