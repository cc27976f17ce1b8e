interface WhenSeen<Moment> {
  readonly lastSeen: Moment & { readonly boot: number };
  readonly gone?: Moment;
}

/**
 * Since when a kept part is gone: the look that did not find it any more, or the last time it was
 * seen when that was in an earlier boot than `newestBoot`. Null while it is there. Pure.
 */
export function goneSince<Moment>(part: WhenSeen<Moment>, newestBoot: number): Moment | null {
  return part.gone ?? (part.lastSeen.boot < newestBoot ? part.lastSeen : null);
}

/**
 * Where a part was plugged in when it was last seen, from its kept details: "port 2 of NAME" or
 * "the slot at PCI address 00:04.0"; null where nothing was told. Pure.
 */
export function lastPlace(
  { controller, port, slotAddress }: Readonly<Record<string, unknown>>,
  nameOf: (controller: string) => string = (name) => name,
): string | null {
  const portText = typeof port === 'string' && port !== '' ? portWords(port) : null;
  if (typeof controller === 'string' && controller !== '') {
    const name = nameOf(controller);
    return portText === null ? name : `${portText} of ${name}`;
  }
  if (portText !== null) return portText;
  return typeof slotAddress === 'string' && slotAddress !== ''
    ? `the slot at PCI address ${slotAddress}`
    : null;
}

/**
 * A port of a controller as it is said: "port-2" and "2" as "port 2", "phy-3" as "phy 3", and a
 * name that the kernel gave as "port ata2". Pure; never throws.
 */
export function portWords(port: string): string {
  const kind = /^(port|phy|bay|target|usb)-(?=.)/;
  return kind.test(port) ? port.replace(kind, '$1 ') : `port ${port}`;
}
