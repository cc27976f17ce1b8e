import { absent, type Figure, measured, type Reading } from '../../checks/reading.js';

/** A SATA link as the kernel shows it, in bits per second; null where it does not tell. */
export interface SataLinkSeen {
  readonly behindLibata: boolean;
  readonly now: number | null;
  readonly hardwareMax: number | null;
  /** Lower than `hardwareMax` after the kernel slowed the link because of errors. */
  readonly allowedMax: number | null;
  readonly driveMax: number | null;
}

const base = { unit: 'bits-per-second' } as const;

/** Negotiated rate, the lower limit of both ends, and each end's own limit under its place. */
export function sataLinkReadings(link: SataLinkSeen): readonly Reading[] {
  const now: Figure = { ...base, metric: 'sata-link-speed', source: 'Kernel file sata_spd' };
  const possible = { ...base, metric: 'sata-link-speed-possible' };
  const port: Figure = { ...possible, source: 'Kernel file hw_sata_spd_limit', place: 'port' };
  const drive: Figure = {
    ...possible,
    source: 'IDENTIFY word 76, kept by the kernel',
    place: 'drive',
  };
  return [
    link.now === null
      ? absent(now, 'no-figure', nowWhy(link))
      : measured(now, link.now, slowed(link)),
    lowerEnd({ ...possible, source: 'Lower limit of port and drive' }, link),
    link.hardwareMax === null
      ? absent(port, 'no-figure', portWhy(link))
      : measured(port, link.hardwareMax),
    link.driveMax === null ? absent(drive, 'no-figure', driveWhy) : measured(drive, link.driveMax),
  ];
}

const driveWhy = 'The kernel keeps no IDENTIFY page of this drive that lists its SATA rates';

function nowWhy({ behindLibata }: SataLinkSeen): string {
  return behindLibata
    ? 'The kernel shows no negotiated rate: the link is down or the controller does not tell'
    : 'The drive hangs on a controller with firmware of its own, which does not tell the SATA rate';
}

function portWhy({ behindLibata }: SataLinkSeen): string {
  return behindLibata
    ? 'The kernel shows no limit of this port'
    : 'The controller does not tell the port’s limit';
}

/** The kernel lowers its own limit after errors on the link: worth saying beside the figure. */
function slowed({ hardwareMax, allowedMax, now }: SataLinkSeen): string | undefined {
  const lowered = hardwareMax !== null && allowedMax !== null && allowedMax < hardwareMax;
  if (!lowered) return undefined;
  const rate = (allowedMax / 1e9).toFixed(1);
  return now === allowedMax
    ? `slowed by the kernel to ${rate} Gb/s after errors on this link`
    : `the kernel allows at most ${rate} Gb/s on this link after errors`;
}

function lowerEnd(figure: Figure, { hardwareMax, driveMax }: SataLinkSeen): Reading {
  if (hardwareMax === null || driveMax === null) {
    const end = hardwareMax === null ? 'port' : 'drive';
    return absent(
      figure,
      'no-figure',
      `The limit of the ${end} is not told, so the lower end is not known`,
    );
  }
  const text = hardwareMax === driveMax ? 'both ends alike' : undefined;
  const limiting = hardwareMax < driveMax ? 'limited by the port' : 'limited by the drive';
  return measured(figure, Math.min(hardwareMax, driveMax), text ?? limiting);
}
