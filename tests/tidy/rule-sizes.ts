import { type Rule, scriptsBelow } from './source-file.js';
import { splitText } from './split-text.js';

const srcLinesMax = 300;
const testLinesMax = 500;
const commentLengthMax = 100;

/** Files stay short: 300 lines in src, 500 in tests. */
export const fileSizes: Rule = (files) =>
  files
    .filter(({ path }) => /^(src|tests)\/.*\.(tsx?|css)$/.test(path))
    .flatMap(({ path, text }) => {
      const lines = text.replace(/\n$/, '').split('\n').length;
      const most = path.startsWith('src/') ? srcLinesMax : testLinesMax;
      return lines > most
        ? [
            {
              path,
              line: 0,
              text: `${lines} lines, at most ${most}: split it by what changes together`,
            },
          ]
        : [];
    });

/** Comments are at most 100 columns wide; the formatter sees to code alone. */
export const commentWidths: Rule = (files) =>
  [...scriptsBelow('src/', files), ...scriptsBelow('tests/', files)].flatMap(({ path, text }) =>
    splitText(text)
      .comments.split('\n')
      .flatMap((comment, index) => {
        const width = comment.trimEnd().length;
        return width > commentLengthMax
          ? [{ path, line: index + 1, text: `comment ${width} columns wide, at most 100` }]
          : [];
      }),
  );
