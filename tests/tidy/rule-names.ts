import type { Rule } from './source-file.js';

const drawers = new Set(['utils', 'util', 'shared', 'common', 'helpers', 'misc', 'lib']);

/** Names say what is inside: kebab-case files, and no drawer for everything. */
export const names: Rule = (files) =>
  files
    .filter(({ path }) => /^(src|tests|config)\//.test(path))
    .flatMap(({ path }) => {
      const folders = path.split('/').slice(0, -1);
      const file = path.split('/').at(-1) ?? '';
      const drawer = folders.find((folder) => drawers.has(folder));
      const odd = folders.find((folder) => !/^[a-z0-9]+(-[a-z0-9]+)*$/.test(folder));
      return [
        ...(drawer === undefined
          ? []
          : [{ path, line: 0, text: `folder "${drawer}": name it by its subject` }]),
        ...(odd === undefined
          ? []
          : [{ path, line: 0, text: `folder "${odd}" is not kebab-case` }]),
        ...(/^([a-z0-9]+(-[a-z0-9]+)*(\.[a-z0-9]+)*|README\.md)$/.test(file)
          ? []
          : [{ path, line: 0, text: `file "${file}" is not kebab-case` }]),
      ];
    });
