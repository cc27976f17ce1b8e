import { formatNumber } from '../../units.js';
import { figureWords } from './figure-words.js';
import type { CostEstimate, Interval, LeadEstimate, PowerEstimate } from './types.js';

/** What the drives draw, lead by lead, and what a year of it costs. */
export function powerLines(power: PowerEstimate, currency: string | null): readonly string[] {
  const { drivesStartWatts: start, drivesWorkWatts: work, drivesIdleWatts: idle } = power;
  return [
    `Drives draw ${watts(start)} starting together, ${watts(work)} at work, ${watts(idle)} idle`,
    ...power.leads.map((lead) => `  ${leadWords(lead)}`),
    ...yearLines(power, currency),
    `  (${power.source})`,
  ];
}

function watts({ low, high }: Interval): string {
  return low === high
    ? `${formatNumber(low)} W`
    : `${formatNumber(low)} to ${formatNumber(high)} W`;
}

function yearLines(
  { kilowattHoursPerYear: energy, costPerYear: cost }: PowerEstimate,
  currency: string | null,
): readonly string[] {
  if (energy === null) return [];
  const money = cost === null ? '' : `, ${figureWords(cost.expected, 'money', currency)}`;
  return [`  in a year about ${formatNumber(energy.expected)} kWh${money}, at work all that time`];
}

/** One lead: what it feeds, the current when its drives start, and what its plug carries. */
export function leadWords(lead: LeadEstimate): string {
  const { low, high } = lead.startAmperes;
  const drives = `${lead.drives.length} ${lead.drives.length === 1 ? 'drive' : 'drives'}`;
  const together =
    lead.mayStartTogether >= lead.drives.length
      ? 'all may start together'
      : `${lead.mayStartTogether} may start together`;
  return (
    `${lead.lead}: ${drives}, ${formatNumber(low, 1)} to ${formatNumber(high, 1)} A at 12 V ` +
    `starting, plug carries ${formatNumber(lead.ratedAmperes, 1)} A: ${together}`
  );
}

/** Sum, per usable terabyte, and what the budget leaves; parts without a price are named. */
export function costLine(cost: CostEstimate): string {
  const money = (amount: number) => figureWords(amount, 'money', cost.currency);
  const each =
    cost.perUsableTerabyte === null ? '' : `, ${money(cost.perUsableTerabyte)} per usable terabyte`;
  const left =
    cost.leftOfBudget === null
      ? ''
      : `, ${money(cost.leftOfBudget)} left of ${money(cost.limit ?? 0)}`;
  const silent =
    cost.withoutPrice.length === 0 ? '' : `; without a price: ${cost.withoutPrice.join(', ')}`;
  return `Parts cost ${money(cost.sum)}${each}${left}${silent}`;
}
