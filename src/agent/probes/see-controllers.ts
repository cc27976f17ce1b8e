import type { ControllerSeen, PortSeen } from '../../checks/part.js';
import type { Box } from '../box/box.js';
import { shortPciAddress } from './parse-device-path.js';
import { type PciKind, parsePciClass } from './parse-pci.js';
import { linkOfPort, parseSataSpeed } from './parse-sata.js';
import { readPciLink } from './pci-links.js';
import { namesIn, numberOrNull, realPathOrNull, textOrNull } from './read-kernel.js';
import { type NetworkInterface, seeInterfaces } from './see-interfaces.js';

const pciDevices = '/sys/bus/pci/devices';

/**
 * Disk controllers and network cards. `drivesItself` are PCI functions that are a drive: they are
 * listed as that drive and not once more as a controller.
 */
export async function seeControllers(
  box: Box,
  drivesItself: ReadonlySet<string>,
): Promise<readonly ControllerSeen[]> {
  const interfaces = await seeInterfaces(box);
  const found: ControllerSeen[] = [];
  for (const address of await namesIn(box, pciDevices)) {
    const kind = parsePciClass(await textOrNull(box, `${pciDevices}/${address}/class`));
    if (kind.kind === 'other' || drivesItself.has(address)) continue;
    if ((await realPathOrNull(box, `${pciDevices}/${address}/physfn`)) !== null) continue;
    const own = interfaces.filter((one) => one.pciAddress === address);
    const card = await seePciFunction(box, address, kind);
    found.push(...(kind.kind === 'network-card' ? perInterface(card, own) : [card]));
  }
  const onPci = new Set(found.map(({ pciAddress }) => pciAddress));
  const others = interfaces.filter((one) => one.pciAddress === null || !onPci.has(one.pciAddress));
  return [...found, ...others.map(withoutPci)];
}

async function seePciFunction(box: Box, address: string, kind: PciKind): Promise<ControllerSeen> {
  const file = (name: string) => textOrNull(box, `${pciDevices}/${address}/${name}`);
  const vendor = hexDigits(await file('vendor'));
  const device = hexDigits(await file('device'));
  const driverPath = await realPathOrNull(box, `${pciDevices}/${address}/driver`);
  const driver = driverPath?.slice(driverPath.lastIndexOf('/') + 1) ?? null;
  const boardLabel = await file('label');
  const isVirtual = vendor === '1af4' || vendor === '15ad';
  const kindOfPart = kind.kind === 'network-card' ? 'network-card' : 'disk-controller';
  return {
    kind: kindOfPart,
    id: `${kindOfPart}-${shortPciAddress(address)}`,
    identityKey: `pci:${vendor}:${device}:${address}`,
    label: labelOf({
      boardLabel,
      words: isVirtual ? `Virtual ${kind.words.toLowerCase()}` : kind.words,
      driver,
    }),
    pciAddress: address,
    vendorDevice: `${vendor}:${device}`,
    driver,
    ...(await firmwareOf(box, address)),
    link: await readPciLink(box, address),
    ...(isVirtual ? { virtual: true } : {}),
    ...(kind.kind === 'disk-controller' ? { ports: await portsOf(box, address) } : {}),
  };
}

/** Host adapters tell theirs through the SCSI host; source: Linux drivers/scsi/mpt3sas. */
async function firmwareOf(box: Box, address: string): Promise<{ readonly firmware?: string }> {
  const names = await namesIn(box, `${pciDevices}/${address}`);
  const host = names.find((name) => /^host\d+$/.test(name));
  if (host === undefined) return {};
  const firmware = await textOrNull(box, `/sys/class/scsi_host/${host}/version_fw`);
  return firmware === null || firmware === '' ? {} : { firmware };
}

function labelOf(facts: {
  boardLabel: string | null;
  words: string;
  driver: string | null;
}): string {
  const name = facts.boardLabel === null ? facts.words : `${facts.words} "${facts.boardLabel}"`;
  return facts.driver === null ? `${name}, no driver bound` : `${name}, driver ${facts.driver}`;
}

function hexDigits(text: string | null): string {
  return /^0x[0-9a-f]{4}$/.test(text ?? '') ? (text ?? '').slice(2) : 'unknown';
}

/** A card with several plugs on one PCI function is several network cards to a person. */
function perInterface(
  card: ControllerSeen,
  interfaces: readonly NetworkInterface[],
): readonly ControllerSeen[] {
  if (interfaces.length === 0) return [card];
  return interfaces.map((one) => {
    const suffix = interfaces.length === 1 ? '' : `-plug-${one.plug}`;
    return {
      ...card,
      id: `${card.id}${suffix}`,
      identityKey: `${card.identityKey}${suffix}`,
      interfaceName: one.name,
      hardwareAddress: one.hardwareAddress,
    };
  });
}

function withoutPci(one: NetworkInterface): ControllerSeen {
  return {
    kind: 'network-card',
    id: `network-card-${one.hardwareAddress.replaceAll(':', '-')}`,
    identityKey: `net:${one.hardwareAddress}`,
    label: one.throughUsb ? 'Network adapter on USB' : 'Network card, not on PCI',
    pciAddress: null,
    vendorDevice: null,
    driver: null,
    link: null,
    interfaceName: one.name,
    hardwareAddress: one.hardwareAddress,
    ...(one.virtual ? { virtual: true } : {}),
  };
}

/** SATA ports by their number on the controller, phys of a SAS host by theirs. */
async function portsOf(box: Box, address: string): Promise<readonly PortSeen[]> {
  const ports: PortSeen[] = [];
  for (const name of await namesIn(box, `${pciDevices}/${address}`)) {
    if (/^ata\d+$/.test(name)) ports.push(...(await sataPort(box, name)));
    if (/^host\d+$/.test(name))
      ports.push(...(await sasPhys(box, `${pciDevices}/${address}/${name}`)));
  }
  return ports.sort((a, b) => numberIn(a.id) - numberIn(b.id));
}

async function sataPort(box: Box, name: string): Promise<readonly PortSeen[]> {
  const number = await numberOrNull(box, `/sys/class/ata_port/${name}/port_no`);
  if (number === null) return [];
  const limit = `/sys/class/ata_link/${linkOfPort(name)}/hw_sata_spd_limit`;
  return [{ id: `port-${number}`, bitsPerSecondMax: parseSataSpeed(await textOrNull(box, limit)) }];
}

async function sasPhys(box: Box, hostFolder: string): Promise<readonly PortSeen[]> {
  const phys = (await namesIn(box, hostFolder)).filter((name) => /^phy-\d+:\d+$/.test(name));
  return Promise.all(
    phys.map(async (name) => {
      const text = await textOrNull(box, `/sys/class/sas_phy/${name}/maximum_linkrate`);
      const rate = /^(\d+(?:\.\d+)?) Gbit$/.exec(text ?? '');
      return {
        id: `phy-${name.slice(name.indexOf(':') + 1)}`,
        bitsPerSecondMax: rate === null ? null : Number(rate[1]) * 1_000_000_000,
      };
    }),
  );
}

function numberIn(id: string): number {
  return Number(/\d+$/.exec(id)?.[0] ?? 0);
}
