import { readFileSync } from 'node:fs';
import { exitCodes, UserError } from '../checks/user-error.js';

export interface SystemUser {
  readonly name: string;
  readonly userId: number;
  readonly groupId: number;
}

/** Users that the page runs as when it was started by root, the first that exists. */
const wantedUsers: readonly string[] = ['bayward', 'nobody'];

/** The first of the named users in the text of a passwd file, or null. Root is never taken. */
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

/**
 * Gives up root for good: groups first, then the group, then the user, since each step needs the
 * rights that a later one takes away. Everything is loaded and bound by then. Not root: nothing.
 */
export function dropPrivileges(): SystemUser | null {
  if (process.geteuid?.() !== 0) return null;
  const user = findUser(readFileSync('/etc/passwd', 'utf8'), wantedUsers);
  if (user === null) {
    throw new UserError(
      'no-user-for-web',
      `The page must not run as root, and none of the users ${wantedUsers.join(', ')} exists`,
      { exitCode: exitCodes.refusedForSafety, hint: 'Make a user called bayward' },
    );
  }
  process.setgroups?.([user.groupId]);
  process.setgid?.(user.groupId);
  process.setuid?.(user.userId);
  if (process.geteuid?.() === 0 || process.getegid?.() === 0) {
    throw new UserError('still-root', 'The page could not give up the rights of root', {
      exitCode: exitCodes.refusedForSafety,
    });
  }
  return user;
}
