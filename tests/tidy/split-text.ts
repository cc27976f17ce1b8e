/** Tells code, strings and comments of a script apart, so that a rule looks only where it means. */

export interface SplitText {
  /** The text with comments and the insides of strings blanked; lines and columns stay. */
  readonly code: string;
  /** The text with comments blanked, strings kept. */
  readonly codeWithStrings: string;
  /** Only the comments; all else is blanked. */
  readonly comments: string;
}

type Kind = 'code' | 'string' | 'comment';

/** Many rules look at the same files. */
const known = new Map<string, SplitText>();

/** Splits a script. A plain reader of characters: enough for our own style, not a parser. */
export function splitText(text: string): SplitText {
  const found = known.get(text) ?? split(text);
  known.set(text, found);
  return found;
}

function split(text: string): SplitText {
  const kinds = new Splitter(text).kinds();
  const keep = (wanted: readonly Kind[]): string =>
    text
      .split('')
      .map((letter, index) =>
        letter === '\n' || wanted.includes(kinds[index] ?? 'code') ? letter : ' ',
      )
      .join('');
  return {
    code: keep(['code']),
    codeWithStrings: keep(['code', 'string']),
    comments: keep(['comment']),
  };
}

class Splitter {
  readonly #text: string;
  readonly #kinds: Kind[] = [];
  /** Depth of braces at which the insertion of each template that we are inside of ends. */
  readonly #insertions: number[] = [];
  #depth = 0;

  constructor(text: string) {
    this.#text = text;
  }

  kinds(): readonly Kind[] {
    while (this.#at < this.#text.length) this.#step();
    return this.#kinds;
  }

  get #at(): number {
    return this.#kinds.length;
  }

  #step(): void {
    const here = this.#text[this.#at] ?? '';
    if (this.#sees('//')) {
      this.#mark(/[^\n]*/y, 'comment');
    } else if (this.#sees('/*')) {
      this.#mark(/\/\*[\s\S]*?(\*\/|$)/y, 'comment');
    } else if (here === "'") {
      this.#mark(/'(\\.|[^'\\\n])*'?/y, 'string');
    } else if (here === '"') {
      this.#mark(/"(\\.|[^"\\\n])*"?/y, 'string');
    } else if (here === '`') {
      this.#mark(/`/y, 'code');
      this.#template();
    } else if (here === '/' && this.#beginsPattern()) {
      this.#mark(/\/(\\.|\[(\\.|[^\]\\\n])*\]|[^/\\\n[])+\/?/y, 'string');
    } else {
      this.#brace(here);
    }
  }

  #brace(here: string): void {
    this.#kinds.push('code');
    if (here === '{') this.#depth += 1;
    if (here !== '}') return;
    if (this.#insertions.at(-1) === this.#depth) {
      this.#insertions.pop();
      this.#template();
    } else {
      this.#depth -= 1;
    }
  }

  /** The text of a template up to its end or to the next insertion. */
  #template(): void {
    this.#mark(/(\\[\s\S]|\$(?!\{)|[^`$\\])*/y, 'string');
    if (this.#sees('${')) {
      this.#mark(/\$\{/y, 'code');
      this.#insertions.push(this.#depth);
    } else {
      this.#mark(/`?/y, 'code');
    }
  }

  /** A slash begins a pattern where no value stands before it that it could divide. */
  #beginsPattern(): boolean {
    const before = this.#text.slice(0, this.#at).trimEnd();
    return /[(,=:[!&|?{;]$|\breturn$|=>$|^$/.test(before);
  }

  #sees(text: string): boolean {
    return this.#text.startsWith(text, this.#at);
  }

  #mark(pattern: RegExp, kind: Kind): void {
    const sticky = new RegExp(pattern.source, 'y');
    sticky.lastIndex = this.#at;
    const length = sticky.exec(this.#text)?.[0].length ?? 0;
    for (let count = 0; count < length; count += 1) this.#kinds.push(kind);
  }
}
