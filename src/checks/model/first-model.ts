import type { ControllerSeen, DriveSeen, Inventory, PciLinkSeen } from '../part.js';
import { formatBytes } from '../units.js';
import { generationOf } from './ceilings.js';
import { portIdOf } from './name-parts.js';
import { capacityText, idText, linkText, plainText, tomlText } from './toml-text.js';

/** What is known beside the inventory when a first model is written. */
export interface FirstModelFacts {
  /** The day of writing, YYYY-MM-DD, or null when the clock is not trusted. */
  readonly writtenOn: string | null;
}

/** A controller or card as it will stand in the file. */
interface Host {
  readonly id: string;
  readonly seen: ControllerSeen;
  readonly inSlot: boolean;
}

const capacityBytesMax = 1e15;
const laneCounts: readonly (number | null)[] = [1, 2, 4, 8, 12, 16, 32];
const fill = '# FILL IN';

/**
 * Writes the first build model of a box in TOML: every part that was found with its place (drive,
 * port, card, slot), and a line marked FILL IN for each thing that only a person knows (bay, power
 * lead, data cable, price, return date). What the kernel does not tell is left out, never guessed.
 * `parseModel` accepts the text as it is. Never throws.
 */
export function firstModel(inventory: Inventory, facts: FirstModelFacts): string {
  const hosts = hostsOf(inventory);
  const drives = withPlaces(inventory.drives, hosts);
  const blocks = [
    header(inventory, facts),
    boxBlock(inventory),
    ...hosts.flatMap((host) => hostBlocks(host, drives)),
    ...drives.flatMap(driveBlocks),
    tail(drives),
  ];
  return `${blocks.map((lines) => lines.join('\n')).join('\n\n')}\n`;
}

function header(inventory: Inventory, { writtenOn }: FirstModelFacts): readonly string[] {
  const day = writtenOn === null ? '' : ` on ${plainText(writtenOn)}`;
  return [
    `# The build model of this box, written${day} from what was found in it.`,
    '#',
    '# It says what is built in and how it is connected; measurements are compared with it. It is',
    '# yours from now on: nothing changes it but you. Lines marked FILL IN are things that only a',
    '# person can see; take the mark away and write the value. All keys: config/box.example.toml.',
    '#',
    ...Object.entries(inventory.emptyWhy).map(
      ([group, why]) => `# No ${plainText(group)}: ${plainText(why)}`,
    ),
  ];
}

function boxBlock({ machine }: Inventory): readonly string[] {
  const memory = machine.memoryBytes;
  return [
    '[box]',
    `name = ${tomlText(machine.hostName)}`,
    ...(machine.board === null ? [] : [`# Board: ${plainText(machine.board)}`]),
    ...(machine.processor === null ? [] : [`# Processor: ${plainText(machine.processor)}`]),
    `${fill} currency = "EUR"`,
    '# burn-in-from-page = false   # true lets the page start a burn-in; else only the console may',
    '',
    '[memory]',
    ...(memory === null ? [] : [`# The kernel can use ${formatBytes(memory)}.`]),
    `${fill} modules = 2`,
    `${fill} size = "16 GB"`,
    `${fill} ecc = false`,
  ];
}

/** Bus 0 carries what is on the board itself; anything behind a bridge is taken for a card. */
function hostsOf(inventory: Inventory): readonly Host[] {
  const used = new Set<string>();
  return inventory.controllers.map((seen) => {
    const onBoard = seen.pciAddress === null || /^(?:[0-9a-f]{4}:)?00:/i.test(seen.pciAddress);
    const inSlot = !onBoard && seen.virtual !== true && seen.link !== null;
    return { id: unique(idText(seen.id), used), seen, inSlot };
  });
}

function unique(id: string, used: Set<string>): string {
  const reserved = id === 'memory' || id === 'processor';
  let name = reserved ? `${id}-part` : id;
  for (let number = 2; used.has(name); number += 1) name = `${id}-${number}`;
  used.add(name);
  return name;
}

interface PlacedDrive {
  readonly drive: DriveSeen;
  /** CONTROLLER-OR-CARD-ID.PORT-ID, or null when the kernel does not tell. */
  readonly port: string | null;
  /** Why the drive cannot stand in the file, or null. */
  readonly leftOutWhy: string | null;
}

function withPlaces(drives: readonly DriveSeen[], hosts: readonly Host[]): readonly PlacedDrive[] {
  const [ports, serials] = [new Set<string>(), new Set<string>()];
  return drives.map((drive) => {
    const leftOutWhy = whyLeftOut(drive, serials);
    serials.add(drive.id);
    const port = leftOutWhy === null ? portOf(drive, hosts) : null;
    const free = port !== null && !ports.has(port);
    if (free) ports.add(port);
    return { drive, port: free ? port : null, leftOutWhy };
  });
}

function whyLeftOut(drive: DriveSeen, serials: ReadonlySet<string>): string | null {
  if (drive.capacityBytes <= 0) return 'it has no capacity (no medium?)';
  if (drive.capacityBytes > capacityBytesMax) return 'its capacity cannot be believed';
  if (serials.has(drive.id)) return 'another drive here has the same serial';
  return plainText(drive.id) === drive.id ? null : 'its serial is not plain text';
}

function portOf(drive: DriveSeen, hosts: readonly Host[]): string | null {
  const host = hosts.find(({ seen }) => seen.id === drive.controller);
  if (host === undefined || drive.port === null || host.seen.kind !== 'disk-controller')
    return null;
  return `${host.id}.${portIdOf(drive.port)}`;
}

function hostBlocks(host: Host, drives: readonly PlacedDrive[]): readonly (readonly string[])[] {
  const { seen, id, inSlot } = host;
  const table = inSlot ? 'card' : 'controller';
  const slot = inSlot ? slotBlock(`slot-of-${id}`, seen.link) : null;
  const generation = generationOf(seen.link?.ownSpeedMax ?? null);
  const lanes = seen.link?.ownLanesMax ?? null;
  const block = [
    `# ${plainText(seen.label)}`,
    `[[${table}]]`,
    `id = ${tomlText(id)}`,
    `kind = "${seen.kind === 'network-card' ? 'network' : 'disk'}"`,
    ...(slot === null ? [] : [`slot = ${tomlText(`slot-of-${id}`)}`]),
    ...(generation === null ? [] : [`generation = ${generation}`]),
    ...(lanes !== null && laneCounts.includes(lanes) ? [`lanes = ${lanes}`] : []),
    ...(seen.pciAddress === null ? [] : [`pci = ${tomlText(seen.pciAddress)}`]),
    ...(seen.hardwareAddress === undefined
      ? []
      : [`hardware-address = ${tomlText(seen.hardwareAddress)}`]),
    ...portLines(host, drives),
    ...(inSlot ? boughtLines() : []),
  ];
  return slot === null ? [block] : [slot, block];
}

/** A slot whose end of the link the kernel shows; else none, because its lanes are not known. */
function slotBlock(id: string, link: PciLinkSeen | null): readonly string[] | null {
  const generation = generationOf(link?.portSpeedMax ?? null);
  const wired = link?.portLanesMax ?? null;
  if (generation === null || !laneCounts.includes(wired)) return null;
  return [
    '[[slot]]',
    `id = ${tomlText(id)}`,
    `size = ${wired}   # FILL IN the length of the slot: a long slot may have fewer lanes connected`,
    `wired = ${wired}`,
    `generation = ${generation}`,
    `${fill} behind = "chipset"   # when the slot hangs on the chipset; then describe [[chipset-link]]`,
  ];
}

function portLines({ id, seen }: Host, drives: readonly PlacedDrive[]): readonly string[] {
  const links = new Map<string, number | null>();
  for (const port of seen.ports ?? []) links.set(portIdOf(port.id), port.bitsPerSecondMax);
  for (const { port } of drives) {
    const name = port?.startsWith(`${id}.`) === true ? port.slice(id.length + 1) : null;
    if (name !== null && !links.has(name)) links.set(name, null);
  }
  if (links.size === 0) {
    const example = seen.kind === 'network-card' ? 'rated = "10G"' : 'link = "6G"';
    return [`${fill} ports = [{ id = "1", ${example} }]`];
  }
  const lines = [...links].map(([port, bits]) => {
    const link = bits !== null && bits >= 1e6 ? `, link = "${linkText(bits)}"` : '';
    return `  { id = ${tomlText(port)}${link} },`;
  });
  return ['ports = [', ...lines, ']'];
}

function driveBlocks({ drive, port, leftOutWhy }: PlacedDrive): readonly (readonly string[])[] {
  const title = `# ${plainText(drive.model)}, ${formatBytes(drive.capacityBytes)}`;
  if (leftOutWhy !== null) return [[`${title}: left out because ${leftOutWhy}`]];
  const isVirtual = drive.reachedBy === 'virtual';
  const slot = drive.pciLink == null || isVirtual ? null : slotBlock(slotId(drive), drive.pciLink);
  const block = [
    isVirtual ? `${title}, a virtual disk` : title,
    '[[drive]]',
    `serial = ${tomlText(drive.id)}`,
    ...(plainText(drive.model) === drive.model ? [`model = ${tomlText(drive.model)}`] : []),
    `capacity = ${tomlText(capacityText(drive.capacityBytes))}`,
    ...(port === null ? [] : [`port = ${tomlText(port)}`]),
    ...(slot === null ? [] : [`slot = ${tomlText(slotId(drive))}`]),
    ...(drive.pciAddress == null ? [] : [`pci = ${tomlText(drive.pciAddress)}`]),
    ...(isVirtual ? [] : personLines(slot !== null)),
  ];
  return slot === null ? [block] : [slot, block];
}

function slotId(drive: DriveSeen): string {
  return `slot-of-${idText(drive.id)}`;
}

function personLines(inSlot: boolean): readonly string[] {
  return [
    ...(inSlot ? [] : [`${fill} bay = "1"`, `${fill} power-lead = "lead-1"`]),
    `${fill} role = "array"       # array, system, scratch or spare`,
    `${fill} holds-data = true    # true when it may hold the only copy of something`,
    `${fill} class = "…"          # see config/part-classes.toml; or outer-rate = "210 MB/s"`,
    ...boughtLines(),
  ];
}

function boughtLines(): readonly string[] {
  return [
    `${fill} price = 40`,
    `${fill} bought = 2026-01-15`,
    `${fill} seller = "…"`,
    `${fill} return-by = 2026-02-14`,
  ];
}

/** Data cables and power leads cannot be seen from inside: only their form is shown. */
function tail(drives: readonly PlacedDrive[]): readonly string[] {
  const real = drives.find(({ drive, port }) => drive.reachedBy !== 'virtual' && port !== null);
  const port = tomlText(real?.port ?? 'CONTROLLER-ID.PORT-ID');
  const serial = tomlText(real?.drive.id ?? 'SERIAL');
  return [
    `${fill} the data cables:`,
    '# [[cable]]',
    '# id = "data-cable-1"',
    `# ports = [${port}]`,
    '#',
    `${fill} the power leads:`,
    '# [[power-lead]]',
    '# id = "lead-1"',
    '# connector = "sata"          # or "four-pin"',
    '# moulded = false',
    `# feeds = [${serial}]`,
  ];
}
