import type { DriveSeen } from '../checks/part.js';

/**
 * Drives that came, or came back, while the agent runs. They are looked at soon, once: their usual
 * hour is counted from a reading that may be of the time before they went.
 */
export class Newcomers {
  readonly #unread = new Map<string, string>();
  readonly #unfelt = new Set<string>();

  /** Ids of those whose records were not asked for yet. */
  get unread(): readonly string[] {
    return [...this.#unread.values()];
  }

  /** Whether the temperature of one was not asked for yet. */
  get hasUnfelt(): boolean {
    return this.#unfelt.size > 0;
  }

  /** The kernel numbers each disk anew that comes, even where the same was before. */
  compare(before: readonly DriveSeen[], now: readonly DriveSeen[]): readonly DriveSeen[] {
    const known = new Map(before.map((one) => [one.identityKey, one.diskSequence]));
    const came = now.filter(
      ({ identityKey, diskSequence }) =>
        !known.has(identityKey) || known.get(identityKey) !== diskSequence,
    );
    const keys = new Set(now.map(({ identityKey }) => identityKey));
    for (const key of this.#unread.keys()) if (!keys.has(key)) this.#unread.delete(key);
    for (const drive of came) {
      this.putOff(drive);
      this.#unfelt.add(drive.identityKey);
    }
    return came;
  }

  /** A round over the temperatures began. */
  felt(): void {
    this.#unfelt.clear();
  }

  /** The records of a drive are asked for; tells whether it was one that waited for that. */
  read({ identityKey }: DriveSeen): boolean {
    return this.#unread.delete(identityKey);
  }

  /** It was at work: it waits for the next occasion. */
  putOff({ identityKey, id }: DriveSeen): void {
    this.#unread.set(identityKey, id);
  }
}
