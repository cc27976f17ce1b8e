/** Thrown when a check cannot run on this computer; the text says why, for the person. */
export class Skipped extends Error {
  constructor(reason: string) {
    super(reason);
    this.name = 'Skipped';
  }
}
