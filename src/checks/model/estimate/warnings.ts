import { formatBytes, formatNumber } from '../../units.js';
import type { BoxModel } from '../parse.js';
import { membersOf } from './arrays.js';
import { sharedStageWarnings, slotWarnings } from './stage-warnings.js';
import type {
  ArrayEstimate,
  CostEstimate,
  LeadEstimate,
  PathEstimate,
  PowerEstimate,
  Warning,
} from './types.js';

export interface Estimated {
  readonly paths: readonly PathEstimate[];
  readonly arrays: readonly ArrayEstimate[];
  readonly power: PowerEstimate;
  readonly cost: CostEstimate;
}

/** A rebuild of more hours than this is told by itself (our choice: it does not fit into a day). */
const longRebuildHours = 24;

/** Share of the supply's own rating that a start of all drives may take (our choice). */
const supplyShareMax = 0.8;

/** What a careful builder would want to know before buying or switching on. */
export function warningsOf(model: BoxModel, found: Estimated): readonly Warning[] {
  return [
    ...slotWarnings(model, found.paths),
    ...found.arrays.flatMap((array) => arrayWarnings(model, array)),
    ...found.arrays.flatMap((array) => sharedStageWarnings(array, found.paths)),
    ...found.power.leads.flatMap((lead) => leadWarnings(model, lead)),
    ...supplyWarnings(found.power),
    ...budgetWarnings(found.cost),
  ];
}

function arrayWarnings(model: BoxModel, array: ArrayEstimate): readonly Warning[] {
  const { name } = array;
  const warn = (code: Warning['code'], text: string): Warning => ({ code, subject: name, text });
  const long = array.rebuildHours !== null && array.rebuildHours > longRebuildHours;
  return [
    ...(array.survives.always === 0
      ? [warn('no-protection', `${name} bears no loss: any drive that fails takes all of it`)]
      : []),
    ...(array.unusedBytes > 0
      ? [warn('members-unequal', `${name} leaves ${formatBytes(array.unusedBytes)} unused`)]
      : []),
    ...(long
      ? [warn('rebuild-long', `A rebuild of ${name} takes longer than a day on an idle box`)]
      : []),
    ...spareWarnings(model, array),
    warn(
      'one-copy',
      `${name} is one copy: it saves from a failed drive, not from a fire or a fault`,
    ),
  ];
}

/** A spare with fewer sectors than the smallest member cannot take its place. */
function spareWarnings(model: BoxModel, array: ArrayEstimate): readonly Warning[] {
  const declared = model.arrays.find((one) => one.name === array.name);
  const members = declared === undefined ? [] : membersOf(declared, model);
  const smallest = Math.min(...members.map(({ capacity }) => capacity));
  return model.drives
    .filter(({ role, capacity }) => role === 'spare' && capacity < smallest)
    .map(({ serial }) => ({
      code: 'spare-too-small',
      subject: serial,
      text: `Spare ${serial} is smaller than the smallest member of ${array.name}`,
    }));
}

function leadWarnings(model: BoxModel, lead: LeadEstimate): readonly Warning[] {
  const own = model.powerLeads.find(({ id }) => id === lead.lead);
  const warn = (code: Warning['code'], text: string): Warning => ({
    code,
    subject: lead.lead,
    text,
  });
  const many = lead.drives.length > lead.mayStartTogether;
  return [
    ...(many
      ? [
          warn(
            'lead-overloaded',
            `${lead.lead} feeds ${lead.drives.length} drives of which ${lead.mayStartTogether} may ` +
              `start together: ${formatNumber(lead.startAmperes.high, 1)} A against ` +
              `${formatNumber(lead.ratedAmperes, 1)} A; start them one after another or add a lead`,
          ),
        ]
      : []),
    ...(own?.moulded === true
      ? [
          warn(
            'moulded-lead',
            `${lead.lead} is moulded: such plugs have burnt; prefer crimped ones`,
          ),
        ]
      : []),
    ...(own?.feeds.some((fed) => model.powerLeads.some(({ id }) => id === fed)) === true
      ? [warn('chained-leads', `${lead.lead} carries another lead: all of it passes one plug`)]
      : []),
    ...(lead.drives.length > 0
      ? [
          warn(
            'mains-and-leads',
            `${lead.lead}: switch off and unplug first, use only leads of this very supply, and ` +
              'let local rules and the maker’s papers come first',
          ),
        ]
      : []),
  ];
}

function supplyWarnings({ drivesStartWatts, supplyWatts }: PowerEstimate): readonly Warning[] {
  if (supplyWatts === null || drivesStartWatts.high <= supplyWatts * supplyShareMax) return [];
  const watts = formatNumber(drivesStartWatts.high);
  const text = `All drives starting at once draw up to ${watts} W of the supply’s ${supplyWatts} W`;
  return [{ code: 'supply-close', subject: 'power', text: `${text}; read the supply’s own label` }];
}

function budgetWarnings({ leftOfBudget, currency }: CostEstimate): readonly Warning[] {
  if (leftOfBudget === null || leftOfBudget >= 0) return [];
  const over = `${formatNumber(-leftOfBudget, 2)} ${currency ?? ''}`.trim();
  return [
    { code: 'over-budget', subject: 'budget', text: `The parts cost ${over} over the limit` },
  ];
}
