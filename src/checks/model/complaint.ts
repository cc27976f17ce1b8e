/** One fault of a model file. `line` counts from 1; `text` is the whole sentence for a person. */
export interface ModelComplaint {
  readonly line: number;
  /** Where in the file, such as `drive[2].port`; empty when the file as a whole is meant. */
  readonly key: string;
  readonly expected: string;
  readonly found: string;
  /** The known name that a mistyped one most likely meant. */
  readonly nearest?: string;
  readonly text: string;
}

export interface ComplaintFacts {
  readonly line: number;
  readonly key: string;
  readonly expected: string;
  readonly found: string;
  readonly nearest?: string | null;
}

const foundLengthMax = 60;

/** A complaint with its sentence: place, key, what was expected, what was found, nearest name. */
export function complain(facts: ComplaintFacts): ModelComplaint {
  const nearest = facts.nearest ?? undefined;
  const about = facts.key === '' ? 'the file' : facts.key;
  const hint = nearest === undefined ? '' : `; nearest known name: "${nearest}"`;
  return {
    line: facts.line,
    key: facts.key,
    expected: facts.expected,
    found: facts.found,
    ...(nearest === undefined ? {} : { nearest }),
    text: `Line ${facts.line}: ${about}: expected ${facts.expected}, found ${facts.found}${hint}`,
  };
}

/** A value of a file as shown in a complaint: short, on one line, text in quotes. */
export function showFound(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object' && value !== null) return 'a table';
  const shown = typeof value === 'string' ? JSON.stringify(value) : String(value);
  return shown.length > foundLengthMax ? `${shown.slice(0, foundLengthMax)}…` : shown;
}

/** Text of a path into the file: `drive[2].port`, entries counted from 1 as a person counts. */
export function showPath(path: readonly PropertyKey[]): string {
  return path.reduce<string>((text, step) => {
    if (typeof step === 'number') return `${text}[${step + 1}]`;
    const name = String(step);
    return text === '' ? name : `${text}.${name}`;
  }, '');
}
