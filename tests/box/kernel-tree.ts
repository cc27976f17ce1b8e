import { type Absence, type Answer, answered, type Box, missing } from '../../src/agent/box/box.js';

/** What a file gives when it is read: text, bytes, or the reason why reading fails. */
export type FileContent = string | Uint8Array | { readonly fails: Absence['kind'] };

/** Fixed content, or a function that is asked at each reading. */
export type FileSource = FileContent | (() => FileContent);

interface Folder {
  readonly kind: 'folder';
  readonly entries: Map<string, Node>;
}
type Node = Folder | { readonly kind: 'file'; readonly source: FileSource } | Link;
interface Link {
  readonly kind: 'link';
  readonly target: string;
}

const linksMax = 40;

/** A made-up part of /sys and /proc with files, folders and links, read as the seam reads it. */
export class KernelTree {
  readonly #root: Folder = { kind: 'folder', entries: new Map() };

  file(path: string, source: FileSource): void {
    const { folder, name } = this.#makeAbove(path);
    folder.entries.set(name, { kind: 'file', source });
  }

  files(above: string, sources: Readonly<Record<string, FileSource>>): void {
    for (const [name, source] of Object.entries(sources)) this.file(`${above}/${name}`, source);
  }

  folder(path: string): void {
    this.#makeAbove(`${path}/.`);
  }

  /**
   * Links are written with absolute targets; the kernel's own are relative, which reads the same.
   */
  link(path: string, target: string): void {
    const { folder, name } = this.#makeAbove(path);
    folder.entries.set(name, { kind: 'link', target });
  }

  text(path: string): Answer<string> {
    const content = this.#content(path);
    if (!content.ok) return content;
    return answered(
      typeof content.value === 'string'
        ? content.value
        : Buffer.from(content.value).toString('utf8'),
    );
  }

  bytes(path: string): Answer<Uint8Array> {
    const content = this.#content(path);
    if (!content.ok) return content;
    return answered(typeof content.value === 'string' ? Buffer.from(content.value) : content.value);
  }

  names(path: string): Answer<readonly string[]> {
    const found = this.#find(path);
    if (found?.node.kind !== 'folder') return absentAt(path);
    return answered([...found.node.entries.keys()].sort());
  }

  realPath(path: string): Answer<string> {
    const found = this.#find(path);
    return found === null ? absentAt(path) : answered(found.realPath);
  }

  #content(path: string): Answer<string | Uint8Array> {
    const found = this.#find(path);
    if (found?.node.kind !== 'file') return absentAt(path);
    const { source } = found.node;
    const content = typeof source === 'function' ? source() : source;
    if (typeof content === 'string' || content instanceof Uint8Array) return answered(content);
    return missing(content.fails, `Reading ${path} failed (${content.fails})`);
  }

  #makeAbove(path: string): { folder: Folder; name: string } {
    const parts = path.split('/').filter((part) => part !== '');
    const name = parts.pop() ?? '';
    let folder = this.#root;
    for (const part of parts) {
      const next: Node = folder.entries.get(part) ?? { kind: 'folder', entries: new Map() };
      if (next.kind !== 'folder')
        throw new Error(`${path} lies under "${part}", which is no folder`);
      folder.entries.set(part, next);
      folder = next;
    }
    return { folder, name };
  }

  #find(path: string): { node: Node; realPath: string } | null {
    let rest = path.split('/').filter((part) => part !== '');
    let node: Node = this.#root;
    let walked: string[] = [];
    for (let links = 0; links <= linksMax; ) {
      const part = rest.shift();
      if (part === undefined) return { node, realPath: `/${walked.join('/')}` };
      const next: Node | undefined = node.kind === 'folder' ? node.entries.get(part) : undefined;
      if (next === undefined) return null;
      if (next.kind === 'link') {
        links += 1;
        rest = [...next.target.split('/').filter((one) => one !== ''), ...rest];
        node = this.#root;
        walked = [];
      } else {
        node = next;
        walked = [...walked, part];
      }
    }
    return null;
  }
}

function absentAt<T>(path: string): Answer<T> {
  return missing('not-there', `${path} is not there`);
}

/** A box that has these kernel files and nothing else. */
export function boxOfTree(tree: KernelTree): Box {
  const noDrive = async () => missing<never>('not-there', 'This box has kernel files only');
  return {
    kernelText: async (path) => tree.text(path),
    kernelBytes: async (path) => tree.bytes(path),
    kernelFolder: async (path) => tree.names(path),
    kernelRealPath: async (path) => tree.realPath(path),
    ata: noDrive,
    scsi: noDrive,
    nvme: noDrive,
    openBlocks: noDrive,
    machine: async () => ({ board: null, processor: null }),
  };
}

/**
 * A tree from one record: keys are paths; "PATH ->" makes a link to its value, "PATH/" an empty
 * folder.
 */
export function treeOf(entries: Readonly<Record<string, FileSource>>): KernelTree {
  const tree = new KernelTree();
  for (const [key, source] of Object.entries(entries)) {
    if (key.endsWith(' ->')) tree.link(key.slice(0, -3), String(source));
    else if (key.endsWith('/')) tree.folder(key.slice(0, -1));
    else tree.file(key, source);
  }
  return tree;
}
