import { formatNumber } from '../../units.js';
import { payloadBytesLeast } from '../ceilings.js';
import type { BoxModel } from '../parse.js';
import type { Entry } from '../schema.js';
import { hostChain, splitPort } from '../topology.js';
import {
  type EthernetTerms,
  framesPerSecond,
  fullFrameBytes,
  tcpBytesPerSecond,
} from './ethernet.js';
import { stageOf } from './stages.js';
import type { Stage } from './types.js';

type Client = Entry<'client'>;

export interface NetworkWay {
  /** From the box's memory to the client, in that order. */
  readonly stages: readonly Stage[];
  readonly assumed: readonly string[];
}

/** Sharing protocols take one to two of a hundred bytes more (common practice, no source). */
const sharingShare = 0.98;

/**
 * The parts between the box's memory and a client: network card or controller with its slot, port,
 * cables, switch ports, and the client's own link. Each carries TCP user data in one direction.
 */
export function networkWay(model: BoxModel, client: Client): NetworkWay {
  const place = splitPort(client.from);
  const own = linkStage(`client:${client.name}`, client.link, client);
  if (place === null) {
    const assumed = [`${client.name}: the network port of the box that it uses is not told`];
    return { stages: [own], assumed };
  }
  const host = [...hostChain(model, place.host, { payloadBytes: payloadBytesLeast })]
    .reverse()
    .map(stageOf)
    .filter((one) => one !== null);
  const port = portStage(model, place, client);
  const through = switchStages(model, client);
  const stages = [...host, ...(port === null ? [] : [port]), ...through.stages, own];
  const silent = port === null ? [`${client.from}: its rated speed is not told`] : [];
  return { stages, assumed: [...silent, ...through.assumed] };
}

function linkStage(part: string, bitsPerSecond: number, client: Client): Stage {
  const terms: EthernetTerms = {
    bitsPerSecond,
    mtuBytes: client.mtu ?? 1500,
    vlan: client.vlan ?? false,
    ipVersion: client.ipVersion ?? 4,
  };
  const bytesPerSecond = tcpBytesPerSecond(terms);
  const packets = formatNumber(framesPerSecond(bitsPerSecond, fullFrameBytes(terms)));
  return {
    part,
    bytesPerSecond,
    low: bytesPerSecond * sharingShare,
    high: bytesPerSecond,
    why: `Ethernet at ${bitsPerSecond / 1e9} Gb/s, ${packets} packets of ${terms.mtuBytes} bytes a second`,
    source: 'RFC 6349 section 4.1.1, RFC 5180 appendix A.1; sharing protocol: common practice',
  };
}

function portStage(
  model: BoxModel,
  place: { readonly host: string; readonly port: string },
  client: Client,
): Stage | null {
  const host = [...model.controllers, ...model.cards].find(({ id }) => id === place.host);
  const rated = host?.ports?.find(({ id }) => id === place.port)?.rated;
  return rated === undefined ? null : linkStage(`${place.host}.${place.port}`, rated, client);
}

/** Cable by cable from the box through each switch. */
function switchStages(model: BoxModel, client: Client): NetworkWay {
  const stages: Stage[] = [];
  const assumed: string[] = [];
  let from = client.from ?? '';
  for (const id of client.through ?? []) {
    const ports = model.switches.find((one) => one.id === id)?.ports ?? [];
    const cable = cableBetween(model, from, id);
    if (cable?.rated !== undefined) stages.push(linkStage(cable.id, cable.rated, client));
    const entry = ports.find((port) => cable?.ends.includes(`${id}.${port.id}`));
    if (entry === undefined) assumed.push(`${client.name}: no cable from ${from} to ${id} is told`);
    if (entry?.rated !== undefined) {
      stages.push(linkStage(`${id}.${entry.id}`, entry.rated, client));
    }
    from = id;
  }
  return { stages, assumed: [...assumed, ...lastPort(model, client, stages)] };
}

/** The port that the client itself is on is the fastest one that no cable takes. */
function lastPort(model: BoxModel, client: Client, stages: Stage[]): readonly string[] {
  const id = client.through?.at(-1);
  const ports = model.switches.find((one) => one.id === id)?.ports ?? [];
  const taken = new Set(model.cables.flatMap(({ from, to }) => [from, to]));
  const free = ports.filter((port) => port.rated !== undefined && !taken.has(`${id}.${port.id}`));
  const [fastest] = free.toSorted((one, other) => (other.rated ?? 0) - (one.rated ?? 0));
  if (id === undefined || fastest?.rated === undefined) return [];
  stages.push(linkStage(`${id}.${fastest.id}`, fastest.rated, client));
  return [`${client.name} is taken to be on port ${fastest.id} of ${id}, the fastest free one`];
}

function cableBetween(model: BoxModel, from: string, switchId: string) {
  const startsAt = (end: string | undefined) =>
    end === from || (end?.startsWith(`${from}.`) ?? false);
  const isOf = (end: string | undefined) => end?.startsWith(`${switchId}.`) ?? false;
  const cable = model.cables.find(
    (one) => (startsAt(one.from) && isOf(one.to)) || (startsAt(one.to) && isOf(one.from)),
  );
  return cable === undefined ? null : { ...cable, ends: [cable.from, cable.to] };
}
