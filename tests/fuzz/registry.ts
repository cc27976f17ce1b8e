import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { projectFolder } from '../lab/machine/places.js';

export interface ExportedFunction {
  readonly file: string;
  readonly name: string;
}

/** Functions that the files of a folder export, as their text says. */
export function exportedFunctions(folder: string, files: RegExp): readonly ExportedFunction[] {
  const place = join(projectFolder(), folder);
  return readdirSync(place)
    .filter((file) => files.test(file))
    .flatMap((file) => {
      const text = readFileSync(join(place, file), 'utf8');
      const forms = /^export (?:async )?function (\w+)|^export const (\w+)[^=]*= (?:async )?\(/gm;
      return [...text.matchAll(forms)].map(([, named, arrow]) => ({
        file,
        name: named ?? arrow ?? '',
      }));
    });
}
