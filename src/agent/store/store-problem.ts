import { type ExitCode, exitCodes, UserError } from '../../checks/user-error.js';

interface Problem {
  readonly code: string;
  readonly text: string;
  readonly exitCode: ExitCode;
  readonly hint: string;
}

/** Beginnings of SQLite's error codes, with what each means for a person. */
const problems: Readonly<Record<string, Problem>> = {
  SQLITE_FULL: {
    code: 'store-full',
    text: 'cannot grow: the disk it is on is full',
    exitCode: exitCodes.interrupted,
    hint: 'Free some space on that disk; what was stored before is still there',
  },
  SQLITE_READONLY: {
    code: 'store-not-writable',
    text: 'cannot be written: it is read-only for this user',
    exitCode: exitCodes.noPrivilege,
    hint: 'Start as the user who owns the store, or name another place with --store',
  },
  SQLITE_CANTOPEN: {
    code: 'store-not-opened',
    text: 'cannot be opened by this user',
    exitCode: exitCodes.noPrivilege,
    hint: 'Check who owns the file and its folder, or name another place with --store',
  },
  SQLITE_PERM: {
    code: 'store-not-opened',
    text: 'cannot be opened by this user',
    exitCode: exitCodes.noPrivilege,
    hint: 'Check who owns the file and its folder, or name another place with --store',
  },
  SQLITE_NOTADB: {
    code: 'store-damaged',
    text: 'is not a database any more',
    exitCode: exitCodes.badInput,
    hint: 'Move the file away and put a copy back; starting without it begins a new history',
  },
  SQLITE_CORRUPT: {
    code: 'store-damaged',
    text: 'is damaged',
    exitCode: exitCodes.badInput,
    hint: 'Move the file away and put a copy back; starting without it begins a new history',
  },
  SQLITE_BUSY: {
    code: 'store-busy',
    text: 'is held by another process',
    exitCode: exitCodes.interrupted,
    hint: 'Is a second agent running on the same store?',
  },
  SQLITE_IOERR: {
    code: 'store-unreliable',
    text: 'could not be read or written: the disk it is on returned an error',
    exitCode: exitCodes.interrupted,
    hint: 'Look at the disk that holds the store first',
  },
};

const byFileError: Readonly<Record<string, string>> = {
  ENOSPC: 'SQLITE_FULL',
  EDQUOT: 'SQLITE_FULL',
  EROFS: 'SQLITE_READONLY',
  EACCES: 'SQLITE_CANTOPEN',
  EPERM: 'SQLITE_CANTOPEN',
  ENOTDIR: 'SQLITE_CANTOPEN',
  EEXIST: 'SQLITE_CANTOPEN',
  EISDIR: 'SQLITE_CANTOPEN',
  ELOOP: 'SQLITE_CANTOPEN',
  EIO: 'SQLITE_IOERR',
};

/** Runs a piece of work on the store and words whatever SQLite or the file system complains of. */
export function wordingProblems<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw storeProblem(error, path);
  }
}

/** A `UserError` for errors that come from the disk or the file; anything else comes back as is. */
export function storeProblem(error: unknown, path: string): unknown {
  const code = codeOf(error);
  const name = byFileError[code] ?? code;
  const found = Object.entries(problems).find(
    ([begin]) => name === begin || name.startsWith(`${begin}_`),
  );
  if (found === undefined) {
    return error;
  }
  const { text, exitCode, hint } = found[1];
  return new UserError(found[1].code, `Store ${path} ${text} (${code})`, { exitCode, hint });
}

function codeOf(error: unknown): string {
  if (error instanceof Error && 'code' in error && typeof error.code === 'string') {
    return error.code;
  }
  return '';
}
