import { PageError } from '../../src/agent/box/layouts/page-error.js';
import type { Limits } from './limits.js';

type ErrorClass = new (...values: never[]) => Error;

/** One thing that is fed with damaged inputs. */
export interface FuzzTarget {
  readonly name: string;
  /** Exported functions that it calls by itself. */
  readonly drives: readonly string[];
  readonly seeds: readonly Uint8Array[];
  readonly limits: Limits;
  /** Errors that a bad input may end in; the page error alone, where nothing is said. */
  readonly errors: readonly ErrorClass[];
  readonly kind: 'page' | 'text';
  /** Makes the checksums right again: behind a wrong one no other damage is ever seen. */
  readonly mend: ((page: Uint8Array) => void) | null;
  /** How many inputs it gets for each one of the others; below 1 for what takes long. */
  readonly share: number;
  readonly run: (input: Uint8Array) => unknown;
}

export type TargetOptions = Partial<Pick<FuzzTarget, 'errors' | 'mend' | 'share' | 'name'>> & {
  readonly seeds: readonly Uint8Array[];
  readonly limits: Limits;
};

/** A decoder of one page as a target, named by its function. */
export function pageTarget(
  decode: (data: Uint8Array) => unknown,
  options: TargetOptions,
): FuzzTarget {
  return { ...defaults, name: decode.name, drives: [decode.name], run: decode, ...options };
}

/** Several functions of one input as a target. */
export function joinedTarget(
  drives: readonly { readonly name: string }[],
  run: (data: Uint8Array) => unknown,
  options: TargetOptions & { readonly name: string },
): FuzzTarget {
  return { ...defaults, drives: drives.map(({ name }) => name), run, ...options };
}

/** A reader of a text, which no text may bring to an error unless the options say so. */
export function textTarget(
  read: (text: string) => unknown,
  options: Omit<TargetOptions, 'seeds'> & { readonly seeds: readonly string[] },
): FuzzTarget {
  return {
    ...defaults,
    name: read.name,
    drives: [read.name],
    run: (input) => read(textOf(input)),
    ...options,
    seeds: options.seeds.map((text) => Buffer.from(text, 'utf8')),
    kind: 'text',
    errors: options.errors ?? [],
  };
}

export function textOf(input: Uint8Array): string {
  return Buffer.from(input.buffer, input.byteOffset, input.byteLength).toString('utf8');
}

const defaults = { errors: [PageError], kind: 'page', share: 1, mend: null } as const;
