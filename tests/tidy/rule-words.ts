import { placesOf, type Rule } from './source-file.js';

/** Each in pieces, so that this file does not hold what it looks for. */
const words: readonly { readonly pieces: readonly string[]; readonly why: string }[] = [
  { pieces: ['/wo', 'rk/'], why: 'path of a developer’s machine' },
  { pieces: ['sha', 'red/(design|facts|prototypes|hooks)'], why: 'path of a developer’s machine' },
  { pieces: ['\\.libr', 'ary/'], why: 'path of a developer’s machine' },
  { pieces: ['/tm', 'p/(tracks|bayward-git)'], why: 'path of a developer’s machine' },
  { pieces: ['/ho', 'me/[a-z]+/'], why: 'path of a developer’s machine' },
  { pieces: ['\\b[Tt]ra', 'ck [A-H]\\b'], why: 'says who did it; say what it is' },
  { pieces: ['\\bseed docu', 'ment\\b'], why: 'says where it came from; name the source' },
  {
    pieces: ['\\b[A-Z][a-z]+(_[A-Z]', '[a-z]+)+\\b'],
    why: 'underscored name: use our own plain words',
  },
];

/** Words that belong to somebody's machine or to somebody else's program. */
export const bannedWords: Rule = (files) =>
  files.flatMap(({ path, text }) =>
    words.flatMap(({ pieces, why }) =>
      placesOf(new RegExp(pieces.join('')), `${path}\n${text}`).map(({ match, line }) => ({
        path,
        line: line - 1,
        text: `"${match[0]}": ${why}`,
      })),
    ),
  );
