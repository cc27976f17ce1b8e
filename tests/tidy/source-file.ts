/** A file of the repository as the rules see it, its path from the top with forward slashes. */
export interface SourceFile {
  readonly path: string;
  readonly text: string;
}

/** A place where a rule is broken, and what to do instead. */
export interface Breach {
  readonly path: string;
  /** Counted from 1; 0 when the whole file is meant. */
  readonly line: number;
  readonly text: string;
}

export type Rule = (files: readonly SourceFile[]) => readonly Breach[];

export function isScript(path: string): boolean {
  return /\.tsx?$/.test(path);
}

export function scriptsBelow(folder: string, files: readonly SourceFile[]): readonly SourceFile[] {
  return files.filter(({ path }) => path.startsWith(folder) && isScript(path));
}

/** Each place where the pattern is found in a text, with its line. */
export function placesOf(pattern: RegExp, text: string) {
  return [...text.matchAll(new RegExp(pattern.source, `${pattern.flags.replace('g', '')}g`))].map(
    (match) => ({ match, line: text.slice(0, match.index).split('\n').length }),
  );
}
