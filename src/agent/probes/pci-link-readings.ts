import type { PciLinkSeen } from '../../checks/part.js';
import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';

/** One property of a link at both ends. */
interface LinkSide {
  readonly metric: 'pci-link-speed' | 'pci-link-lanes';
  readonly unit: 'gigatransfers-per-second' | 'lanes';
  readonly file: 'link_speed' | 'link_width';
  readonly now: number | null;
  readonly own: number | null;
  readonly port: number | null;
}

/**
 * Readings of a PCI link: what is trained, and what is possible. Possible is the lower of both
 * ends; each end stands beside it under its own place, so that the one that limits is visible.
 */
export function pciLinkReadings(
  link: PciLinkSeen,
  options: { readonly virtual: boolean },
): readonly Reading[] {
  const sides: readonly LinkSide[] = [
    {
      metric: 'pci-link-speed',
      unit: 'gigatransfers-per-second',
      file: 'link_speed',
      now: link.speedGigatransfers,
      own: link.ownSpeedMax,
      port: link.portSpeedMax,
    },
    {
      metric: 'pci-link-lanes',
      unit: 'lanes',
      file: 'link_width',
      now: link.lanes,
      own: link.ownLanesMax,
      port: link.portLanesMax,
    },
  ];
  return sides.flatMap((side) => sideReadings(side, options.virtual));
}

function sideReadings(side: LinkSide, virtual: boolean): readonly Reading[] {
  const none = virtual
    ? 'Virtual device: it has no PCI link of its own'
    : 'The kernel shows no trained link: the function is built into the board’s chips or the link is down';
  return [
    figureOr(figure(side, 'current'), side.now, none),
    possible(side, virtual ? none : null),
    ...(side.own === null ? [] : [measured(figure(side, 'max', 'card'), side.own)]),
    ...(side.port === null ? [] : [measured(figure(side, 'max', 'port above'), side.port)]),
  ];
}

/** With one end unknown the lower end is unknown too: half a comparison would be a guess. */
function possible(side: LinkSide, virtualWhy: string | null): Reading {
  const target = figure(side, 'max');
  if (side.own === null || side.port === null) {
    const missing = side.own === null ? 'of this function' : 'of the port above it';
    return absent(target, 'no-figure', virtualWhy ?? `The kernel tells no limit ${missing}`);
  }
  const text =
    side.own === side.port
      ? 'both ends alike'
      : `limited by ${side.own < side.port ? 'the card' : 'the port above'}`;
  return measured(target, Math.min(side.own, side.port), text);
}

function figure(side: LinkSide, which: 'current' | 'max', place?: string): Figure {
  return {
    metric: which === 'current' ? side.metric : `${side.metric}-possible`,
    unit: side.unit,
    source: `Kernel file ${which}_${side.file}`,
    ...(place === undefined ? {} : { place }),
  };
}

function figureOr(target: Figure, value: number | null, why: string): Reading {
  return value === null ? absent(target, 'no-figure', why) : measured(target, value);
}
