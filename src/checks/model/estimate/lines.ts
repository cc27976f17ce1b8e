import { formatBytes, formatBytesPerSecond, formatNumber } from '../../units.js';
import type { ArrayEstimate, Estimate, LeadEstimate, PathEstimate } from './types.js';

/** An estimate as lines for a terminal: arrays, paths, power, cost, and what is assumed. */
export function estimateLines(found: Estimate): readonly string[] {
  return [
    ...(found.name === null ? [] : [found.name, '']),
    ...found.arrays.flatMap((array) => [...arrayLines(array), '']),
    'What each path carries, reading',
    ...found.paths.filter(({ direction }) => direction === 'read').map(pathLine),
    '',
    ...powerLines(found),
    '',
    costLine(found),
    ...section(
      'To mind',
      found.warnings.map(({ text }) => text),
    ),
    ...section('Taken for granted', found.assumed),
  ];
}

function section(title: string, lines: readonly string[]): readonly string[] {
  return lines.length === 0 ? [] : ['', title, ...lines.map((line) => `  ${line}`)];
}

function arrayLines(array: ArrayEstimate): readonly string[] {
  const { name, title, usableBytes, rebuild, unreadableSectorProbability: chance } = array;
  const speeds = [array.readBytesPerSecond, array.writeBytesPerSecond].map(formatBytesPerSecond);
  return [
    `${name}: ${title}`,
    `  holds ${formatBytes(usableBytes)}; reads ${speeds[0]}, writes ${speeds[1]} in one stream`,
    ...(rebuild === null
      ? []
      : [
          `  rebuild about ${formatNumber(rebuild.hours.expected)} h on an idle box, ` +
            `${formatNumber(rebuild.hoursWithUsers.low)} to ` +
            `${formatNumber(rebuild.hoursWithUsers.high)} h with users; held by ` +
            `${rebuild.limit.part}: ${rebuild.limit.why}`,
        ]),
    ...(chance === null
      ? []
      : [
          `  at most ${formatNumber(chance * 100, 1)} % chance of an unreadable sector among the ` +
            'survivors: the data sheets’ bound, no forecast',
        ]),
    `  risk while a member is replaced: ${array.risk.level}`,
    ...array.risk.why.map((why) => `    ${why}`),
    ...array.otherLayouts.map(
      (other) =>
        `  as ${other.title}: ${formatBytes(other.usableBytes)}` +
        `${other.rebuildHours === null ? '' : `, rebuild ${formatNumber(other.rebuildHours)} h`}`,
    ),
  ];
}

function pathLine({ path, streams, stages, limit, headroom }: PathEstimate): string {
  const title = streams === 'many' ? `${path}, many at once` : path;
  if (limit === null) return `  ${title}: no figure, the model does not tell enough`;
  const why = stages.find(({ part }) => part === limit.part)?.why ?? '';
  const more =
    headroom === null ? '' : `; ${formatBytesPerSecond(headroom)} more without that limit`;
  return `  ${title}: ${formatBytesPerSecond(limit.bytesPerSecond)}, by ${limit.part} (${why})${more}`;
}

function powerLines({ power }: Estimate): readonly string[] {
  const { drivesStartWatts: start, drivesWorkWatts: work, drivesIdleWatts: idle } = power;
  const watts = ({ low, high }: typeof start) => `${formatNumber(low)} to ${formatNumber(high)} W`;
  return [
    `Drives draw ${watts(start)} starting together, ${watts(work)} at work, ${watts(idle)} idle`,
    ...power.leads.map(leadLine),
  ];
}

function leadLine(lead: LeadEstimate): string {
  const { low, high } = lead.startAmperes;
  return (
    `  ${lead.lead}: ${lead.drives.length} drives, ${formatNumber(low, 1)} to ` +
    `${formatNumber(high, 1)} A at 12 V starting, plug carries ` +
    `${formatNumber(lead.ratedAmperes, 1)} A: ${lead.mayStartTogether} may start together`
  );
}

function costLine({ cost }: Estimate): string {
  const money = (amount: number) => `${formatNumber(amount, 2)} ${cost.currency ?? ''}`.trim();
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
