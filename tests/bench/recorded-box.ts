import type { Answer, Box, DriveAddress } from '../../src/agent/box/box.js';

type Given = Map<string, Answer<unknown>>;

/**
 * Writes down what a box answers, round by round, and gives it again at no cost worth naming: so
 * that what our own work costs can be measured without the simulation's.
 */
export class RecordedBox {
  readonly #rounds: Given[] = [];
  readonly #ever: Given = new Map();
  #playing: Given = new Map();

  /** What is asked from now on belongs to a new round. */
  beginRound(): void {
    this.#rounds.push(new Map());
  }

  record(box: Box): Box {
    return asking(async (key, ask) => {
      const answer = await ask(box);
      this.#rounds.at(-1)?.set(key, answer);
      this.#ever.set(key, answer);
      return answer;
    }, box);
  }

  /** Gives the answers of one round; after the last comes the first again. */
  turnTo(round: number): void {
    this.#playing = this.#rounds[round % this.#rounds.length] ?? this.#ever;
  }

  play(box: Box): Box {
    return asking(async (key) => {
      const answer = this.#playing.get(key) ?? this.#ever.get(key);
      if (answer === undefined) throw new Error(`Nothing was recorded for ${key}`);
      return answer;
    }, box);
  }
}

type Way = (key: string, ask: (box: Box) => Promise<Answer<unknown>>) => Promise<Answer<unknown>>;

function asking(way: Way, box: Box): Box {
  const go = async <T>(key: string, ask: (box: Box) => Promise<Answer<T>>): Promise<Answer<T>> =>
    (await way(key, ask)) as Answer<T>;
  const by = ({ deviceNumber }: DriveAddress, ...parts: readonly (string | number)[]) =>
    `${deviceNumber} ${parts.join(' ')}`;
  return {
    kernelText: (path) => go(`text ${path}`, (from) => from.kernelText(path)),
    kernelBytes: (path) => go(`bytes ${path}`, (from) => from.kernelBytes(path)),
    kernelFolder: (path) => go(`folder ${path}`, (from) => from.kernelFolder(path)),
    kernelRealPath: (path) => go(`link ${path}`, (from) => from.kernelRealPath(path)),
    ata: (drive, one) =>
      go(by(drive, 'ata', one.command, one.feature, one.count, one.lba), (from) =>
        from.ata(drive, one),
      ),
    scsi: (drive, one) => go(by(drive, 'scsi', ...one.cdb), (from) => from.scsi(drive, one)),
    nvme: (drive, one) =>
      go(by(drive, 'nvme', one.opcode, one.nsid, one.cdw10, one.cdw11), (from) =>
        from.nvme(drive, one),
      ),
    openBlocks: (drive, options) => box.openBlocks(drive, options),
    machine: () => box.machine(),
  };
}
