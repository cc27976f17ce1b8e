/** Why a drive cannot be told from others by its own name, and what a person can do. */
export interface IdentityDoubt {
  readonly kind: 'shared' | 'placeholder';
  /** A whole sentence. */
  readonly why: string;
  /** A whole sentence. */
  readonly nextStep: string;
}

interface NamedDrive {
  readonly kind: string;
  readonly identityKey: string;
  readonly details: Readonly<Record<string, unknown>>;
}

/**
 * Whether a kept drive has a name of its own. Null for what is no drive, for virtual disks, which
 * are known by their place by nature, and where the name is its own. Pure; never throws.
 */
export function identityDoubt({ kind, identityKey, details }: NamedDrive): IdentityDoubt | null {
  if (kind !== 'drive' || identityKey.startsWith('virtual:')) return null;
  const serial = typeof details.serial === 'string' ? details.serial.trim() : '';
  if (details.duplicateIdentity === true) return { kind: 'shared', ...shared(serial) };
  return isKnownByPlace(identityKey) ? { kind: 'placeholder', ...placeholder(serial) } : null;
}

/** A drive that tells no name of its own is known by where it hangs. */
export function isKnownByPlace(identityKey: string): boolean {
  return identityKey.startsWith('place:');
}

function shared(serial: string) {
  const name = serial === '' ? 'name' : `name, serial “${serial}” or its world-wide name`;
  return {
    why: `Another drive here tells the same ${name}: the two cannot be told apart, so each is known by its place, and nothing is erased on either.`,
    nextStep:
      'Compare the labels of both, then take one out or connect it without the bridge that repeats the name; the one that stays has its history back.',
  };
}

function placeholder(serial: string) {
  const told =
    serial === ''
      ? 'It tells no serial number and no world-wide name'
      : `It tells the serial “${serial}”, which stands for none and is told by many drives and bridges`;
  return {
    why: `${told}: it is known by its place alone, so another drive in the same place would be taken for it, and nothing is erased on it.`,
    nextStep:
      'Connect it straight to a disk port if a bridge hides its name; else leave it in its place, with a mark of your own on it.',
  };
}
