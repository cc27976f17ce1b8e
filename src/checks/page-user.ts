/** A user of the system, with the numbers that the kernel knows it by. */
export interface SystemUser {
  readonly name: string;
  readonly userId: number;
  readonly groupId: number;
}

/** Users that the page runs as when root starts it: the first that exists. */
export const pageUserNames: readonly string[] = ['bayward', 'nobody'];

/**
 * The first of the named users in the text of a passwd file (source: passwd(5)), or null. Root is
 * never taken. The agent lets this user's group at socket and store, and the page becomes it, so
 * both must find the same one. Never throws.
 */
export function findUser(passwdText: string, names: readonly string[]): SystemUser | null {
  const lines = passwdText.split('\n').map((line) => line.split(':'));
  for (const name of names) {
    const fields = lines.find((line) => line[0] === name);
    const userId = Number(fields?.[2]);
    const groupId = Number(fields?.[3]);
    const usable = fields !== undefined && fields[2] !== '' && fields[3] !== '';
    if (usable && Number.isInteger(userId) && Number.isInteger(groupId) && userId > 0) {
      return { name, userId, groupId };
    }
  }
  return null;
}
