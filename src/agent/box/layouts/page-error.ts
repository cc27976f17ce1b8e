/**
 * The only error that page decoders throw: a page is too short, damaged or of another kind than
 * asked for. The interpreters turn it into readings without a figure and a remark.
 */
export class PageError extends Error {
  readonly record: string;
  readonly expected: string;
  readonly found: string;

  constructor(record: string, expected: string, found: string) {
    super(`${record}: expected ${expected}, found ${found}`);
    this.name = 'PageError';
    this.record = record;
    this.expected = expected;
    this.found = found;
  }
}
