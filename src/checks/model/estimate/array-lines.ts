import { formatBytes, formatBytesPerSecond, formatNumber } from '../../units.js';
import { figureWords } from './figure-words.js';
import type { ArrayEstimate, OtherLayout, RebuildEstimate } from './types.js';

/** An array for a terminal: what it holds, how fast it is, what a rebuild takes and risks. */
export function arrayLines(array: ArrayEstimate): readonly string[] {
  const { name, title, usableBytes, rebuild, unreadableSectorProbability: chance } = array;
  const speeds = [array.readBytesPerSecond, array.writeBytesPerSecond].map(formatBytesPerSecond);
  return [
    `${name}: ${title}`,
    `  holds ${formatBytes(usableBytes)}; reads ${speeds[0]}, writes ${speeds[1]} in one stream`,
    ...smallWriteLines(array),
    ...(rebuild === null ? [] : [`  ${rebuildWords(rebuild)}`]),
    ...(chance === null ? [] : [`  ${chanceWords(chance)}`]),
    `  risk while a member is replaced: ${array.risk.level}`,
    ...array.risk.why.map((why) => `    ${why}`),
    `  ${array.risk.adequacy}`,
    ...array.otherLayouts.map((other) => `  as ${otherWords(other)}`),
  ];
}

function smallWriteLines({ smallWriteOperations }: ArrayEstimate): readonly string[] {
  if (smallWriteOperations === null || smallWriteOperations === 1) return [];
  return [`  each small write costs ${smallWriteOperations} operations of its drives`];
}

/** "rebuild about 15 h on an idle box, 30 to 76 h with users; held by ID: why". */
export function rebuildWords({ hours, hoursWithUsers, limit }: RebuildEstimate): string {
  const users = [hoursWithUsers.low, hoursWithUsers.high].map((one) => formatNumber(one));
  return (
    `rebuild about ${figureWords(hours.expected, 'hours')} on an idle box, ${users[0]} to ` +
    `${users[1]} h with users; held by ${limit.part}: ${limit.why}`
  );
}

/** The data sheets' bound on an unreadable sector, said as a bound. */
export function chanceWords(chance: number): string {
  return (
    `at most ${formatNumber(chance * 100, 1)} % chance of an unreadable sector among the ` +
    'survivors: the data sheets’ bound, no forecast'
  );
}

/** Another layout of the same drives: what it would hold and take. */
export function otherWords({ title, usableBytes, rebuildHours }: OtherLayout): string {
  const hours = rebuildHours === null ? '' : `, rebuild ${figureWords(rebuildHours, 'hours')}`;
  return `${title}: ${formatBytes(usableBytes)}${hours}`;
}
