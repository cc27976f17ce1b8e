import type { Chance } from './chance.js';

/** What a kernel file should never hold, and what it holds when something is absent. */
const oddWords = [
  '',
  '-1',
  '0',
  '00',
  '1e3',
  '0x10',
  'NaN',
  'Infinity',
  '-0',
  '1.5.5',
  '255',
  '65535',
  '4294967295',
  '9007199254740993',
  '18446744073709551615',
  '9'.repeat(400),
  'none',
  'Unknown',
  '<unknown>',
  'ÿ',
  '{}',
  '[]',
  'null',
  'true',
  '""',
  '"\u0007"',
  '-5',
  '4.5',
  '\u0000',
  '\n',
  ' ',
] as const;

const textMax = 4096;

type Change = (text: string, chance: Chance, other: string) => string;

/** A text of the kernel with one to four things wrong: numbers, letters, lines, pieces, cuts. */
export function damagedText(seeds: readonly string[], chance: Chance): string {
  const any = () => seeds[chance.below(seeds.length)] ?? '';
  let text = any();
  for (let left = chance.below(5); left > 0; left -= 1) {
    text = chance.pick(changes)(text, chance, any()).slice(0, textMax);
  }
  return text;
}

const changes: readonly [Change, ...Change[]] = [
  oddNumber,
  oddNumber,
  oddWord,
  setLetter,
  cut,
  dropLine,
  repeatLine,
  splice,
];

function oddNumber(text: string, chance: Chance): string {
  return replaceOne(text, /\d+(\.\d+)?/g, chance);
}

function oddWord(text: string, chance: Chance): string {
  return replaceOne(text, /\S+/g, chance);
}

function replaceOne(text: string, pattern: RegExp, chance: Chance): string {
  const places = [...text.matchAll(pattern)];
  const place = places[chance.below(places.length)];
  if (place === undefined) return `${text}${chance.pick(oddWords)}`;
  const after = text.slice(place.index + place[0].length);
  return text.slice(0, place.index) + chance.pick(oddWords) + after;
}

function setLetter(text: string, chance: Chance): string {
  const at = chance.below(text.length + 1);
  const code = chance.oneIn(8) ? chance.below(0x300) : chance.below(0x60) + 0x20;
  return text.slice(0, at) + String.fromCharCode(code) + text.slice(at + chance.below(2));
}

function cut(text: string, chance: Chance): string {
  const at = chance.below(text.length + 1);
  return chance.oneIn(4) ? text.slice(at) : text.slice(0, at);
}

function dropLine(text: string, chance: Chance): string {
  const lines = text.split('\n');
  return lines.toSpliced(chance.below(lines.length), 1).join('\n');
}

function repeatLine(text: string, chance: Chance): string {
  const lines = text.split('\n');
  const line = lines[chance.below(lines.length)] ?? '';
  return lines.toSpliced(chance.below(lines.length + 1), 0, line).join('\n');
}

function splice(text: string, chance: Chance, other: string): string {
  return text.slice(0, chance.below(text.length + 1)) + other.slice(chance.below(other.length + 1));
}
