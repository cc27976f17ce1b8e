import { isDeepStrictEqual } from 'node:util';

/** Lines of the lab: one for each check, and the sum at the end. */
export class Checks {
  passed = 0;
  failed = 0;
  skipped = 0;

  pass(name: string, detail: string): void {
    this.passed += 1;
    console.log(`ok ${name}: ${oneLine(detail)}`);
  }

  fail(name: string, detail: string): void {
    this.failed += 1;
    console.log(`not ok ${name}: ${oneLine(detail)}`);
  }

  /** Passes when what was found is what the machine emulates. */
  equal(name: string, found: unknown, expected: unknown): void {
    if (isDeepStrictEqual(found, expected)) this.pass(name, JSON.stringify(found));
    else this.fail(name, `expected ${JSON.stringify(expected)}, found ${JSON.stringify(found)}`);
  }

  /** Passes when the sentence about what was found is true. */
  holds(name: string, isTrue: boolean, detail: string): void {
    if (isTrue) this.pass(name, detail);
    else this.fail(name, detail);
  }

  /** Something that cannot be checked on this computer; never a pass, and a failure in CI. */
  skip(name: string, reason: string): void {
    this.skipped += 1;
    console.log(`skipped ${name}: ${reason}`);
  }

  /** What this machine cannot pass through, with where it is shown instead; counts as nothing. */
  remark(name: string, text: string): void {
    console.log(`only on the simulated box ${name}: ${text}`);
  }
}

function oneLine(text: string): string {
  return text.trim().replaceAll(/\s*\n\s*/g, ' | ');
}
