import type { BlockHandle } from '../box/box.js';
import { firstUnknown, stampOf } from './pattern.js';
import { type SamplePlace, samplePlaces } from './sample-places.js';
import { type Mark, marksFor, standsIn } from './signatures.js';

/** One thing found on a drive that speaks against erasing it. `name` is what consent names. */
export interface Found {
  readonly name: string;
  readonly words: string;
  readonly atByte: number;
}

/** Result of looking at a drive's surface: nothing found means blank or our own stamps only. */
export interface Look {
  readonly found: readonly Found[];
  readonly placesLookedAt: number;
}

/**
 * Looks at both ends and at sampled places and names everything that is neither blank nor our
 * own stamp. A place that cannot be read cannot be called blank either: it is named too.
 */
export async function lookAtSurface(
  handle: BlockHandle,
  seed: string,
  options: { readonly onPlace?: (fromByte: number) => void } = {},
): Promise<Look> {
  const drive = { sizeBytes: handle.sizeBytes, sectorBytes: handle.logicalBlockBytes };
  const places = samplePlaces(drive, seed);
  const marks = marksFor(drive.sizeBytes);
  const found = new Map<string, Found>();
  const keep = (one: Found) => {
    if (!found.has(one.name)) found.set(one.name, one);
  };
  const buffer = handle.makeBuffer(Math.max(...places.map(({ bytes }) => bytes)));
  for (const place of places) {
    options.onPlace?.(place.fromByte);
    const piece = buffer.subarray(0, place.bytes);
    const answer = await handle.read(place.fromByte, piece);
    if (answer.ok && answer.value === piece.length) {
      for (const one of findInPiece({ piece, place, marks }, drive.sectorBytes)) keep(one);
    } else {
      keep({
        name: 'unreadable-place',
        words: 'a place that cannot be read',
        atByte: place.fromByte,
      });
      // A request that ran out of time may still write into its buffer later.
      if (!answer.ok && (answer.absence.kind === 'timed-out' || answer.absence.kind === 'gone')) {
        break;
      }
    }
  }
  const inOrder = [...found.values()].sort((one, other) => one.name.localeCompare(other.name));
  return { found: inOrder, placesLookedAt: places.length };
}

function findInPiece(
  look: {
    readonly piece: Uint8Array;
    readonly place: SamplePlace;
    readonly marks: readonly Mark[];
  },
  sectorBytes: number,
): readonly Found[] {
  const { piece, place } = look;
  const unknown = firstUnknown(piece, sectorBytes);
  if (unknown === null) return [];
  const marks = look.marks
    .filter((mark) => standsIn(mark, piece, place.fromByte))
    .filter((mark) => !isStamped({ piece, at: mark.at - place.fromByte }, sectorBytes))
    .map((mark) => ({ name: mark.name, words: mark.words, atByte: mark.at }));
  const words = 'data of unknown kind';
  return [...marks, { name: 'unknown-data', words, atByte: place.fromByte + unknown }];
}

/** Our own filling is random and may look like a short mark by chance. */
function isStamped(
  spot: { readonly piece: Uint8Array; readonly at: number },
  sectorBytes: number,
): boolean {
  const start = spot.at - (spot.at % sectorBytes);
  return stampOf(spot.piece.subarray(start, start + sectorBytes)) !== null;
}

/** Names of everything found, as one text that a person repeats to consent: "ext gpt". */
export function consentText(look: Look): string {
  return look.found.map(({ name }) => name).join(' ');
}

/** What was found and was not consented to. */
export function beyondConsent(look: Look, consented: readonly string[]): readonly Found[] {
  return look.found.filter(({ name }) => !consented.includes(name));
}
