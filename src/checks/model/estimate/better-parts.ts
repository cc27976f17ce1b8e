import type { BoxModel } from '../parse.js';
import type { ModelCard, ModelDrive, ModelSlot } from '../schema.js';
import { splitPort } from '../topology.js';
import { slotWords } from './slot-words.js';

/** One change to a build, and the model as it would be then. */
export interface BetterPart {
  readonly part: string;
  /** What would stand in its place, in words. */
  readonly change: string;
  /** True where nothing is to be bought, only moved. */
  readonly free: boolean;
  readonly model: BoxModel;
}

const laneSteps = [1, 2, 4, 8, 16];
/** Rates of Ethernet on copper and short fibre, bits per second (IEEE 802.3, from memory). */
const ethernetSteps = [1e9, 2.5e9, 5e9, 10e9, 25e9];

/**
 * Every single change worth trying: a card moved to another slot, a card with more lanes or of a
 * newer generation where its slot has them, a drive on another free port, a drive as fast as its
 * fastest neighbour in the array, a faster way to a client. Small changes come before large ones of
 * the same part. Pure; a model with nothing to change gives an empty list.
 */
export function betterParts(model: BoxModel): readonly BetterPart[] {
  return [
    ...model.cards.flatMap((card) => cardMoves(model, card)),
    ...model.drives.flatMap((drive) => driveMoves(model, drive)),
    ...model.cards.flatMap((card) => betterCards(model, card)),
    ...model.arrays.flatMap(({ members }) => fasterDrives(model, members)),
    ...model.clients.flatMap(({ name }) => fasterWays(model, name)),
  ];
}

function slotOf(model: BoxModel, card: ModelCard): ModelSlot | undefined {
  return model.slots.find(({ id }) => id === card.slot);
}

/** Into a free slot that the card fits into (its edge is no wider than the slot). */
function cardMoves(model: BoxModel, card: ModelCard): readonly BetterPart[] {
  const now = slotOf(model, card);
  if (now === undefined) return [];
  const taken = new Set([...model.cards, ...model.drives].map(({ slot }) => slot));
  const fits = (slot: ModelSlot) => !taken.has(slot.id) && (card.lanes ?? now.size) <= slot.size;
  return model.slots.filter(fits).map((slot) => ({
    part: card.id,
    change: `${card.id} in ${slot.id} (${slotWords(slot)}) instead of ${now.id}`,
    free: true,
    model: withCard(model, { ...card, slot: slot.id }),
  }));
}

function withCard(model: BoxModel, card: ModelCard): BoxModel {
  return { ...model, cards: model.cards.map((one) => (one.id === card.id ? card : one)) };
}

/** A card that uses the lanes or the generation that its slot has. */
function betterCards(model: BoxModel, card: ModelCard): readonly BetterPart[] {
  const slot = slotOf(model, card);
  if (slot === undefined) return [];
  const { lanes, generation } = card;
  const wider = laneSteps.filter((one) => lanes !== undefined && one > lanes && one <= slot.wired);
  const newer = generation !== undefined && generation < slot.generation;
  return [
    ...wider.map((more) => ({
      part: card.id,
      change: `a card with ${more} lanes instead of ${lanes} in place of ${card.id}`,
      free: false,
      model: withCard(model, { ...card, lanes: more }),
    })),
    ...(newer
      ? [
          {
            part: card.id,
            change: `a card of generation ${slot.generation} instead of ${generation} in place of ${card.id}`,
            free: false,
            model: withCard(model, { ...card, generation: slot.generation }),
          },
        ]
      : []),
  ];
}

/** To the first free port of each other controller or card, and to a faster one of its own. */
function driveMoves(model: BoxModel, drive: ModelDrive): readonly BetterPart[] {
  const now = splitPort(drive.port);
  if (now === null) return [];
  const taken = new Set(model.drives.map(({ port }) => port));
  return [...model.controllers, ...model.cards].flatMap((host) => {
    const free = (host.ports ?? []).filter(
      ({ id, link, multiplierOf }) =>
        link !== undefined && multiplierOf === undefined && !taken.has(`${host.id}.${id}`),
    );
    const [best] = free.toSorted((one, other) => (other.link ?? 0) - (one.link ?? 0));
    if (best === undefined) return [];
    const port = `${host.id}.${best.id}`;
    return [
      {
        part: drive.serial,
        change: `${drive.serial} on port ${port} instead of ${drive.port}`,
        free: true,
        model: withDrive(model, { ...drive, port }),
      },
    ];
  });
}

function withDrive(model: BoxModel, drive: ModelDrive): BoxModel {
  return {
    ...model,
    drives: model.drives.map((one) => (one.serial === drive.serial ? drive : one)),
  };
}

/** Every member that is of another kind than some other one, as fast as that one. */
function fasterDrives(model: BoxModel, members: readonly string[]): readonly BetterPart[] {
  const drives = model.drives.filter(({ serial }) => members.includes(serial));
  const kindOf = ({ class: kind, outerRate }: ModelDrive) => `${kind ?? ''} ${outerRate ?? ''}`;
  const kinds = drives.filter(
    (drive, at) => drives.findIndex((one) => kindOf(one) === kindOf(drive)) === at,
  );
  if (kinds.length < 2) return [];
  return kinds.flatMap((like) => {
    const slower = drives.filter((one) => kindOf(one) !== kindOf(like));
    const better = (drive: ModelDrive): ModelDrive => ({
      ...drive,
      class: like.class,
      outerRate: like.outerRate,
    });
    const names = slower.map(({ serial }) => serial);
    return [
      {
        part: names.join(' and '),
        change: `drives as fast as ${like.serial} in place of ${names.join(' and ')}`,
        free: false,
        model: {
          ...model,
          drives: model.drives.map((one) => (names.includes(one.serial) ? better(one) : one)),
        },
      },
    ];
  });
}

/** The client's own link, its cables and switch ports, each raised to the next rates together. */
function fasterWays(model: BoxModel, name: string): readonly BetterPart[] {
  const client = model.clients.find((one) => one.name === name);
  if (client === undefined) return [];
  const through = client.through ?? [];
  return ethernetSteps
    .filter((rate) => rate > client.link)
    .map((rate) => ({
      part: `client:${name}`,
      change: `${rate / 1e9} Gb/s all the way to ${name} instead of ${client.link / 1e9}`,
      free: false,
      model: {
        ...model,
        clients: model.clients.map((one) => (one.name === name ? { ...one, link: rate } : one)),
        switches: model.switches.map((one) =>
          through.includes(one.id) ? { ...one, ports: raised(one.ports, rate) } : one,
        ),
        cables: model.cables.map((one) =>
          through.some((id) => [one.from, one.to].some((end) => end?.startsWith(`${id}.`)))
            ? { ...one, rated: Math.max(one.rated ?? rate, rate) }
            : one,
        ),
      },
    }));
}

function raised<Port extends { readonly rated?: number | undefined }>(
  ports: readonly Port[] | undefined,
  rate: number,
): Port[] | undefined {
  return ports?.map((port) => ({ ...port, rated: Math.max(port.rated ?? rate, rate) }));
}
