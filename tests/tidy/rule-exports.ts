import { placesOf, type Rule, scriptsBelow } from './source-file.js';
import { splitText } from './split-text.js';

const banned: readonly { readonly pattern: RegExp; readonly text: string }[] = [
  { pattern: /\bexport\s+default\b/, text: 'default export: give it a name' },
  { pattern: /\bexport\s*\*/, text: 'file that passes exports on: import from where it is made' },
  {
    pattern: /\bexport\s+(type\s+)?\{[^}]*\}\s*from\b/,
    text: 'file that passes exports on: import from where it is made',
  },
  { pattern: /\benum\s+[A-Z]\w*\s*\{/, text: 'enum: use a union of strings' },
  { pattern: /\bnamespace\s+[A-Z]\w*\s*\{/, text: 'namespace: use a file' },
];

/** Named exports only, made where they are exported; unions of strings instead of enums. */
export const exportForms: Rule = (files) =>
  [...scriptsBelow('src/', files), ...scriptsBelow('tests/', files)].flatMap(({ path, text }) => {
    const { code } = splitText(text);
    const isBarrel = /(^|\/)index\.tsx?$/.test(path);
    return [
      ...(isBarrel ? [{ path, line: 0, text: 'file called index: name it by what it does' }] : []),
      ...banned.flatMap((ban) =>
        placesOf(ban.pattern, code).map(({ line }) => ({ path, line, text: ban.text })),
      ),
    ];
  });
