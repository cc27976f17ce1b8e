/** A line below a title of a terminal's text. */
export function indented(line: string): string {
  return `  ${line}`;
}

/** A title with its lines below it, after an empty line; nothing when there is no line. */
export function section(title: string, lines: readonly string[]): readonly string[] {
  return lines.length === 0 ? [] : ['', title, ...lines.map(indented)];
}
