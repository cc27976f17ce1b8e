import { formatBytesPerSecond } from '../../units.js';
import type { BoxModel } from '../parse.js';
import type { ModelCard, ModelSlot } from '../schema.js';
import { findPath } from './find-path.js';
import { slotWords } from './slot-words.js';
import type { ArrayEstimate, PathEstimate, Stage, Warning } from './types.js';

/** Cards that could do more than their slot, and slots that could do more than their card. */
export function slotWarnings(model: BoxModel, paths: readonly PathEstimate[]): readonly Warning[] {
  return model.cards.flatMap((card) => {
    const slot = model.slots.find(({ id }) => id === card.slot);
    if (slot === undefined) return [];
    const limits = [card.id, slot.id].some((part) => isLimit(part, paths));
    const end = limits ? '' : '; nothing in this build needs more';
    return cardAndSlot(card, slot).map((one) => ({ ...one, text: `${one.text}${end}` }));
  });
}

function cardAndSlot(card: ModelCard, slot: ModelSlot): readonly Warning[] {
  const { lanes = slot.wired, generation = slot.generation } = card;
  const slotSays = slotWords(slot);
  const cardSays = `${lanes} lanes, generation ${generation}`;
  return [
    ...(slot.wired < lanes || slot.generation < generation
      ? [
          {
            code: 'slot-limits-card' as const,
            subject: slot.id,
            text: `${card.id} (${cardSays}) could do more than its slot ${slot.id}: ${slotSays}`,
          },
        ]
      : []),
    ...(lanes < slot.wired || generation < slot.generation
      ? [
          {
            code: 'card-limits-slot' as const,
            subject: card.id,
            text: `Slot ${slot.id} (${slotSays}) could do more than ${card.id}: ${cardSays}`,
          },
        ]
      : []),
  ];
}

/** Whether a part holds anything back. Of a card and a slot of equal width the card is named. */
function isLimit(part: string, paths: readonly PathEstimate[]): boolean {
  return paths.some(({ limit }) => limit?.part === part);
}

/** Links that several members of an array share and that give less than those members could. */
export function sharedStageWarnings(
  array: ArrayEstimate,
  paths: readonly PathEstimate[],
): readonly Warning[] {
  const path = findPath(paths, { path: `array:${array.name}`, streams: 'many' });
  const stages = path?.stages ?? [];
  const drives = stages.filter(({ part }) => array.members.includes(part));
  const slowest = Math.min(...drives.map(({ bytesPerSecond }) => bytesPerSecond));
  if (array.members.length < 2) return [];
  const weak = stages.filter(
    (stage) => sharedBy(array, stage.part, paths) > 1 && stage.bytesPerSecond < slowest,
  );
  return weak.map((stage) => sharedWarning(array, stage, slowest));
}

/** How many members send their data through a part. */
function sharedBy(
  { members }: ArrayEstimate,
  part: string,
  paths: readonly PathEstimate[],
): number {
  const group = findPath(paths, { path: `group:${part}` });
  return (group?.drives ?? []).filter((serial) => members.includes(serial)).length;
}

function sharedWarning(array: ArrayEstimate, stage: Stage, slowest: number): Warning {
  const [held, free] = [stage.bytesPerSecond, slowest].map(formatBytesPerSecond);
  const text =
    `Members of ${array.name} meet at ${stage.part} (${stage.why}): the array reads ${held} where ` +
    `its drives would give ${free}, and a rebuild is held back too`;
  return { code: 'shared-stage', subject: stage.part, text };
}
