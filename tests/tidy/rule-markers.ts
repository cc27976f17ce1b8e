import { type Breach, placesOf, type Rule, type SourceFile, scriptsBelow } from './source-file.js';
import { splitText } from './split-text.js';

/** Written in pieces, so that this file does not hold what it looks for. */
const unfinished = new RegExp(
  `\\b(${['TO' + 'DO', 'FIX' + 'ME', 'X' + 'XX', 'HA' + 'CK'].join('|')})\\b`,
);

/** Lines of a comment that read like code: the beginning, the inside and the end of a statement. */
const oldCode = new RegExp(
  [
    /^(const|let|var)\s+[\w{[].*=/,
    /^(if|for|while|switch)\s*\(.*\)/,
    /^(return|throw|await|import|export|function|class)\b.*[('"={].*[;{]$/,
    /^(return|throw) \w+\.[\w.]+;$/,
    /^[\w.#]+\([^ ]*\);$/,
    /^[\w.#]+ [+-]?= .*;$/,
    /^\}.*$/,
  ]
    .map(({ source }) => source)
    .join('|'),
);

/** Nothing unfinished, nothing commented out, no test left alone or left out without a reason. */
export const leftovers: Rule = (files) => {
  const scripts = [...scriptsBelow('src/', files), ...scriptsBelow('tests/', files)];
  return [
    ...files.flatMap(unfinishedIn),
    ...scripts.flatMap(commentedOut),
    ...scriptsBelow('tests/', files).flatMap(leftOut),
  ];
};

function unfinishedIn({ path, text }: SourceFile): readonly Breach[] {
  return placesOf(unfinished, text).map(({ match, line }) => ({
    path,
    line,
    text: `${match[0]}: finish it, or file an issue`,
  }));
}

function commentedOut({ path, text }: SourceFile): readonly Breach[] {
  return splitText(text)
    .comments.split('\n')
    .flatMap((line, index) => {
      const words = line.replace(/^\s*(\/\/|\/\*\*?|\*\/|\*)?\s*/, '').replace(/\s*\*\/$/, '');
      return oldCode.test(words.trim())
        ? [{ path, line: index + 1, text: `commented-out code: ${words.trim()}` }]
        : [];
    });
}

function leftOut({ path, text }: SourceFile): readonly Breach[] {
  const { code, comments } = splitText(text);
  const said = comments.split('\n').map((line) => line.trim());
  const alone = placesOf(/\b(?:test|it|describe|suite)(?:\.\w+)*\.only\b/, code).map(
    ({ line }) => ({
      path,
      line,
      text: 'test that runs alone: remove "only"',
    }),
  );
  const skipped = placesOf(/\b(?:test|it|describe|suite)\.(?:skip|skipIf|runIf|todo)\b/, code)
    .filter(({ line }) => said[line - 1] === '' && said[line - 2] === '')
    .map(({ line }) => ({ path, line, text: 'test left out: say why in a comment above it' }));
  return [...alone, ...skipped];
}
