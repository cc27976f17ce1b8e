import type { ModelDrive } from '../schema.js';
import type { LayoutFacts } from './array-shape.js';
import type { RiskWords } from './types.js';

export interface RiskInput {
  readonly facts: LayoutFacts;
  readonly members: readonly ModelDrive[];
  readonly rebuildHours: number | null;
  /** Chance of an unreadable sector while the survivors are read once. */
  readonly unreadable: number | null;
}

const longHours = 24;
const likelyUnreadable = 0.1;

/**
 * The risk of losing data while a member is being replaced, in ordinal words with what drives it.
 * A mean time to data loss is never told: true double failures were 2 to 1500 times as frequent as
 * it says (Elerath and Pecht 2009; Greenan, Plank, Wylie 2010). Levels are our own choice.
 */
export function riskOf(input: RiskInput): RiskWords {
  const { level, why } = levelOf(input);
  return { level, why, adequacy: adequacies[level] };
}

/** Words of our own; an array is never called a substitute for a second copy. */
const adequacies: Readonly<Record<RiskWords['level'], string>> = {
  small: 'Enough against failing drives; a second copy elsewhere is needed all the same',
  raised: 'Enough against one failing drive if a second copy of everything exists elsewhere',
  serious: 'Not enough for anything that exists only here: copy off first, then replace the member',
  total: 'Only for what may be lost',
};

function levelOf({
  facts,
  members,
  rebuildHours,
  unreadable,
}: RiskInput): Omit<RiskWords, 'adequacy'> {
  if (facts.survives.always === 0) {
    return { level: 'total', why: ['Any one drive that fails takes all data with it'] };
  }
  const drivers = driversOf(members, rebuildHours);
  if (facts.survives.always > 1) {
    const left = facts.survives.always - 1;
    const still = `After one loss it still bears ${left} more, and can mend unreadable sectors`;
    return { level: drivers.length > 1 ? 'raised' : 'small', why: [still, ...drivers] };
  }
  const bare = 'After one loss nothing is left to mend a sector or bear a second loss';
  const sector =
    unreadable !== null && unreadable >= likelyUnreadable
      ? ['The survivors hold so much that an unreadable sector among them is not far-fetched']
      : [];
  const why = [bare, ...sector, ...drivers];
  return { level: why.length > 2 ? 'serious' : 'raised', why };
}

function driversOf(members: readonly ModelDrive[], hours: number | null): readonly string[] {
  const used = members.filter(({ seller }) => seller !== undefined);
  return [
    ...(sameBatch(members)
      ? ['The members were bought as one batch: such drives tend to fail close together']
      : []),
    ...(used.length > 0 ? [`${used.length} of ${members.length} members have a past`] : []),
    ...(hours !== null && hours > longHours
      ? ['The rebuild takes longer than a day, during which every survivor works without a pause']
      : []),
    ...(members.some(({ model }) => model === undefined)
      ? ['Not every member’s model is told, so that a shared fault cannot be ruled out']
      : []),
  ];
}

/** The same batch by the model's word, or the same model bought on the same day. */
function sameBatch(members: readonly ModelDrive[]): boolean {
  const keys = members.map(({ batch, model, bought }) =>
    batch !== undefined ? `batch ${batch}` : bought && model ? `${model} of ${bought}` : null,
  );
  return keys.some((key, at) => key !== null && keys.indexOf(key) !== at);
}
