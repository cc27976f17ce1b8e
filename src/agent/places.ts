import { dirname, join } from 'node:path';

/** Where the model file, the store and the control socket are, and which port the page uses. */
export interface Places {
  readonly modelFile: string;
  readonly storeFile: string;
  readonly socketFile: string;
  readonly port: number;
}

export interface PlaceOptions {
  readonly config?: string | undefined;
  readonly store?: string | undefined;
  readonly socket?: string | undefined;
  readonly port?: number | undefined;
}

export const defaultPort = 7420;

/** Root uses the system's folders; everybody else the XDG folders below their home. */
export function resolvePlaces(
  options: PlaceOptions,
  person: { isRoot: boolean; environment: Readonly<Record<string, string | undefined>> },
): Places {
  const folders = person.isRoot ? systemFolders : foldersOfUser(person.environment);
  const storeFile = options.store ?? join(folders.state, 'store.sqlite');
  return {
    modelFile: options.config ?? join(folders.config, 'box.toml'),
    storeFile,
    socketFile:
      options.socket ??
      (options.store === undefined
        ? join(folders.runtime, 'agent.sock')
        : join(dirname(storeFile), 'agent.sock')),
    port: options.port ?? defaultPort,
  };
}

interface Folders {
  readonly config: string;
  readonly state: string;
  readonly runtime: string;
}

const systemFolders: Folders = {
  config: '/etc/bayward',
  state: '/var/lib/bayward',
  runtime: '/run/bayward',
};

function foldersOfUser(environment: Readonly<Record<string, string | undefined>>): Folders {
  const home = environment.HOME || '/';
  const state = join(environment.XDG_STATE_HOME || join(home, '.local/state'), 'bayward');
  const runtime = environment.XDG_RUNTIME_DIR;
  return {
    config: join(environment.XDG_CONFIG_HOME || join(home, '.config'), 'bayward'),
    state,
    runtime: runtime ? join(runtime, 'bayward') : state,
  };
}
