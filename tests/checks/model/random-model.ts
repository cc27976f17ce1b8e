/** One `[[table]]` or `[table]` of a model file that is being written, with its keys in order. */
export interface WrittenEntry {
  readonly table: string;
  readonly single: boolean;
  /** Name of the key and its value as TOML text. */
  readonly keys: readonly (readonly [string, string])[];
}

/** Numbers from 0 up to 1 from a seed (a linear congruential generator, Numerical Recipes). */
export function chances(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

export class Chance {
  readonly #next: () => number;
  constructor(seed: number) {
    this.#next = chances(seed);
    for (let warm = 0; warm < 5; warm += 1) this.#next();
  }

  below(count: number): number {
    return Math.floor(this.#next() * count);
  }

  of<Item>(items: readonly Item[]): Item {
    const item = items[this.below(items.length)];
    if (item === undefined) throw new Error('Nothing to choose from');
    return item;
  }

  yes(share = 0.5): boolean {
    return this.#next() < share;
  }
}

const quoted = (text: string) => `"${text}"`;
const listed = (texts: readonly string[]) => `[${texts.map(quoted).join(', ')}]`;
const count = (length: number) => Array.from({ length }, (_, at) => at);

/** A model file that is sound, of random parts that fit together. */
export function randomModel(seed: number): readonly WrittenEntry[] {
  const chance = new Chance(seed);
  const entries: WrittenEntry[] = [];
  const add = (table: string, keys: Record<string, string | null>, single = false) => {
    const told = Object.entries(keys).flatMap(([key, value]): [string, string][] =>
      value === null ? [] : [[key, value]],
    );
    entries.push({ table, single, keys: told });
  };
  const maybe = (text: string) => (chance.yes() ? text : null);
  add('box', { name: maybe('"Random"'), currency: maybe('"EUR"') }, true);
  add('power', { 'supply-watts': maybe('450'), 'hours-per-day': maybe('6') }, true);
  add('budget', { limit: maybe(`${chance.below(2000)}`) }, true);

  const links = count(chance.below(3)).map((at) => `chipset-${at}`);
  for (const id of links) {
    add('chipset-link', {
      id: quoted(id),
      generation: `${1 + chance.below(4)}`,
      lanes: chance.of(['2', '4', '8']),
    });
  }
  const behind = () => (links.length > 0 && chance.yes() ? quoted(chance.of(links)) : null);
  const slots = count(1 + chance.below(4)).map((at) => `slot-${at}`);
  for (const id of slots) {
    const size = chance.of([1, 4, 8, 16]);
    const wired = chance.of([1, 2, 4, 8, 16].filter((lanes) => lanes <= size));
    add('slot', {
      id: quoted(id),
      size: `${size}`,
      wired: `${wired}`,
      generation: `${1 + chance.below(5)}`,
      payload: chance.yes(0.3) ? chance.of(['128', '256', '512']) : null,
      behind: behind(),
    });
  }

  const diskPorts: string[] = [];
  const networkPorts: string[] = [];
  const ports = (host: string, kind: 'disk' | 'network') => {
    const ids = count(1 + chance.below(6));
    const written = ids.map((at) => {
      const name = `${host}.p${at}`;
      (kind === 'disk' ? diskPorts : networkPorts).push(name);
      const rate =
        kind === 'disk'
          ? `link = "${chance.of(['1.5G', '3G', '6G', '12G'])}"`
          : `rated = "${chance.of(['1G', '2.5G', '10G', '25G'])}"`;
      const of = kind === 'disk' && at > 0 && chance.yes(0.2) ? ', multiplier-of = "p0"' : '';
      return `{ id = "p${at}", ${rate}${of} }`;
    });
    return `[${written.join(', ')}]`;
  };
  for (const at of count(1 + chance.below(2))) {
    const kind = at === 0 ? 'disk' : chance.of(['disk', 'network'] as const);
    const id = `board-${at}`;
    add('controller', {
      id: quoted(id),
      kind: quoted(kind),
      behind: behind(),
      ports: ports(id, kind),
    });
  }
  const freeSlots = [...slots];
  for (const at of count(chance.below(Math.min(4, slots.length + 1)))) {
    const kind = chance.of(['disk', 'network'] as const);
    const id = `card-${at}`;
    add('card', {
      id: quoted(id),
      kind: quoted(kind),
      slot: quoted(freeSlots.shift() ?? 'slot-0'),
      lanes: maybe(chance.of(['1', '2', '4', '8'])),
      generation: maybe(`${1 + chance.below(4)}`),
      ports: ports(id, kind),
      price: maybe(`${chance.below(90)}.5`),
      bought: maybe('2026-01-15'),
    });
  }

  const drives: string[] = [];
  const free = [...diskPorts];
  for (const at of count(chance.below(13))) {
    const serial = `LK-${seed}-${at}`;
    const port = free.splice(chance.below(Math.max(1, free.length)), 1)[0];
    drives.push(serial);
    add('drive', {
      serial: quoted(serial),
      model: maybe('"Larkspur Archive"'),
      capacity: quoted(chance.of(['500 GB', '4 TB', '8 TB', '12 TB', '20 TB'])),
      class: maybe(
        quoted(chance.of(['nas-6tb-to-8tb-5400', 'ssd-sata', 'nearline-6tb-to-8tb-7200'])),
      ),
      'outer-rate': maybe(`"${90 + chance.below(400)} MB/s"`),
      port: port === undefined ? null : quoted(port),
      bay: maybe(`"${at}"`),
      role: maybe(quoted(chance.of(['array', 'system', 'scratch', 'spare']))),
      price: maybe(`${chance.below(300)}`),
      'bits-per-unreadable': maybe('1e15'),
    });
  }

  const fed: string[] = [...drives];
  const leads: string[] = [];
  while (fed.length > 0 && leads.length < 4) {
    const id = `lead-${leads.length}`;
    const feeds = fed.splice(0, 1 + chance.below(4));
    const chained = leads.length > 0 && chance.yes(0.2) ? leads.slice(-1) : [];
    const taken = entries.some(
      ({ table, keys }) =>
        table === 'power-lead' &&
        keys.some(([, value]) =>
          chained.some((one) => value.includes(`"${one}"`) && !value.startsWith(`"${one}"`)),
        ),
    );
    add('power-lead', {
      id: quoted(id),
      connector: quoted(chance.of(['sata', 'four-pin'])),
      moulded: maybe('true'),
      feeds: listed([...feeds, ...(taken ? [] : chained)]),
    });
    leads.push(id);
  }

  const members = [...drives];
  const fewest = {
    single: 1,
    mirror: 2,
    raid0: 2,
    raid1: 2,
    raid5: 3,
    raid6: 4,
    raid10: 4,
    raidz1: 2,
    raidz2: 3,
    raidz3: 4,
  };
  for (const at of count(chance.below(3))) {
    const layouts = Object.entries(fewest).filter(([, least]) => least <= members.length);
    if (layouts.length === 0) break;
    const [layout, least] = chance.of(layouts);
    const more =
      layout === 'single' || layout === 'raid10' ? 0 : chance.below(members.length - least + 1);
    add('array', {
      name: quoted(`array-${at}`),
      layout: quoted(layout),
      members: listed(members.splice(0, least + more)),
      record: chance.yes(0.2) ? '"1 MiB"' : null,
    });
  }

  const switches = count(chance.below(2)).map((at) => `switch-${at}`);
  for (const id of switches) {
    add('switch', {
      id: quoted(id),
      ports: '[{ id = "s1", rated = "10G" }, { id = "s2", rated = "2.5G" }]',
    });
  }
  for (const at of count(networkPorts.length === 0 ? 0 : chance.below(4))) {
    add('client', {
      name: quoted(`desk-${at}`),
      link: quoted(chance.of(['1G', '2.5G', '10G'])),
      from: maybe(quoted(chance.of(networkPorts))),
      through: maybe(listed(switches)),
      mtu: chance.yes(0.2) ? '9000' : null,
      vlan: chance.yes(0.2) ? 'true' : null,
    });
  }
  return entries;
}

/** The entries as a file, one key a line, and the line of each entry and key. */
export function writeModel(entries: readonly WrittenEntry[]): {
  readonly text: string;
  readonly lineOf: (entry: WrittenEntry, key?: string) => number;
} {
  const lines: string[] = [];
  const places = new Map<string, number>();
  for (const [at, { table, single, keys }] of entries.entries()) {
    lines.push(single ? `[${table}]` : `[[${table}]]`);
    places.set(`${at}`, lines.length);
    for (const [key, value] of keys) {
      lines.push(`${key} = ${value}`);
      places.set(`${at} ${key}`, lines.length);
    }
  }
  return {
    text: `${lines.join('\n')}\n`,
    lineOf: (entry, key) => {
      const at = entries.indexOf(entry);
      const line = places.get(key === undefined ? `${at}` : `${at} ${key}`);
      if (line === undefined) throw new Error(`No line of ${entry.table} ${key ?? ''}`);
      return line;
    },
  };
}
