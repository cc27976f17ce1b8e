import type { PlaceError, PlaceErrorKind } from '../../checks/burn-in-result.js';
import type { AbsenceKind, Answer } from '../box/box.js';
import type { Range } from './stream-blocks.js';

export interface LocateOptions extends Range {
  readonly sectorBytes: number;
  /** Tries one piece again; a piece is a whole number of sectors. */
  readonly attempt: (piece: Range) => Promise<Answer<unknown>>;
  readonly kindOf: (kind: AbsenceKind) => PlaceErrorKind;
  /** How the whole block failed: kept at its start when no single sector can be named. */
  readonly failedAs: AbsenceKind;
  /** False once the time for this bad area is used up. */
  readonly timeIsLeft: () => boolean;
}

export interface Located {
  readonly errors: readonly PlaceError[];
  /** Bytes of failing pieces that were not divided any further. */
  readonly unlocatedBytes: number;
  /** The drive stopped answering or went away. */
  readonly lost: AbsenceKind | null;
}

/** Most failing tries in one block: each may take seconds on a drive that retries by itself. */
export const failedTriesMax = 96;

/**
 * Finds the bad sectors of a block that failed as a whole, by halving. When time or tries are
 * used up, the rest of a failing piece is named by its first sector and counted in bytes.
 */
export async function locateErrors(options: LocateOptions): Promise<Located> {
  const errors: PlaceError[] = [];
  let unlocatedBytes = 0;
  let failedTries = 0;
  const pieces: Range[] = halves(options, options.sectorBytes);
  for (let piece = pieces.shift(); piece !== undefined; piece = pieces.shift()) {
    if (!options.timeIsLeft() || failedTries >= failedTriesMax) {
      unlocatedBytes += piece.toByte - piece.fromByte;
      continue;
    }
    const answer = await options.attempt(piece);
    if (answer.ok) continue;
    failedTries += 1;
    const { kind } = answer.absence;
    const isOneSector = piece.toByte - piece.fromByte <= options.sectorBytes;
    if (isOneSector) errors.push(at(piece, options, kind));
    if (kind === 'timed-out' || kind === 'gone' || kind === 'not-there') {
      if (!isOneSector) errors.push(at(piece, options, kind));
      const rest = [piece, ...pieces].reduce((sum, one) => sum + one.toByte - one.fromByte, 0);
      return { errors, unlocatedBytes: unlocatedBytes + rest, lost: kind };
    }
    if (!isOneSector) pieces.unshift(...halves(piece, options.sectorBytes));
  }
  if (errors.length === 0) errors.push(at(options, options, options.failedAs));
  return { errors, unlocatedBytes, lost: null };
}

function at(piece: Range, options: LocateOptions, kind: AbsenceKind): PlaceError {
  return { lba: piece.fromByte / options.sectorBytes, kind: options.kindOf(kind) };
}

function halves(piece: Range, sectorBytes: number): Range[] {
  const sectors = (piece.toByte - piece.fromByte) / sectorBytes;
  if (sectors <= 1) return [{ fromByte: piece.fromByte, toByte: piece.toByte }];
  const middle = piece.fromByte + Math.ceil(sectors / 2) * sectorBytes;
  return [
    { fromByte: piece.fromByte, toByte: middle },
    { fromByte: middle, toByte: piece.toByte },
  ];
}

/** Class of a failed read, as a burn-in tells errors apart. */
export function readErrorKind(kind: AbsenceKind): PlaceErrorKind {
  if (kind === 'unreadable' || kind === 'damaged' || kind === 'timed-out') return kind;
  return 'aborted';
}

/** Class of a failed write: a place that does not take data, or a request that did not arrive. */
export function writeErrorKind(kind: AbsenceKind): PlaceErrorKind {
  if (kind === 'timed-out' || kind === 'aborted') return kind;
  return kind === 'gone' || kind === 'not-there' ? 'aborted' : 'unwritable';
}
