import { readFileSync } from 'node:fs';
import { findUser, pageUserNames, type SystemUser } from '../checks/page-user.js';
import { exitCodes, UserError } from '../checks/user-error.js';

/**
 * Gives up root for good: groups first, then the group, then the user, since each step needs the
 * rights that a later one takes away. Everything is loaded and bound by then. Not root: nothing.
 */
export function dropPrivileges(): SystemUser | null {
  if (process.geteuid?.() !== 0) return null;
  const user = findUser(readFileSync('/etc/passwd', 'utf8'), pageUserNames);
  if (user === null) {
    throw new UserError(
      'no-user-for-web',
      `The page must not run as root, and none of the users ${pageUserNames.join(', ')} exists`,
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
