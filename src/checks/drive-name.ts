/**
 * How a drive is called in findings and status: its bay and the last four characters of its serial,
 * or these alone. `id` is its serial; an id that is no serial, such as "member 3", comes back as it
 * is. Pure; never throws.
 */
export function driveName(id: string, bay: string | null): string {
  if (!/^\S+$/.test(id)) return id;
  const lastFour = id.slice(-4);
  return bay === null ? `Drive … ${lastFour}` : `Bay ${bay} · ${lastFour}`;
}
