import { readFileSync } from 'node:fs';
import { type DriveClass, parseClasses } from '../../../../src/checks/model/classes.js';
import { type BoxModel, parseModel } from '../../../../src/checks/model/parse.js';

const folder = new URL('../../../../config/', import.meta.url);

export const exampleText = readFileSync(new URL('box.example.toml', folder), 'utf8');

export function partClasses(): readonly DriveClass[] {
  const parsed = parseClasses(readFileSync(new URL('part-classes.toml', folder), 'utf8'));
  if ('complaints' in parsed) throw new Error(parsed.complaints.map(({ text }) => text).join('\n'));
  return parsed.classes;
}

export function modelOf(text: string): BoxModel {
  const parsed = parseModel(text, 'box.toml');
  if ('complaints' in parsed) throw new Error(parsed.complaints.map(({ text: t }) => t).join('\n'));
  return parsed.model;
}

/** The example with each `from` replaced by its `to`; a text that is not there is a fault. */
export function exampleWith(changes: readonly (readonly [string, string])[]): string {
  return changes.reduce((text, [from, to]) => {
    if (!text.includes(from)) throw new Error(`The example has no ${from}`);
    return text.replace(from, to);
  }, exampleText);
}
