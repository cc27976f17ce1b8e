const usersOfThePage: readonly string[] = ['bayward', 'nobody'];

/** Group of the user that the page runs as when root starts it, from the text of a passwd file. */
export function readerGroup(passwdText: string): number | null {
  for (const name of usersOfThePage) {
    const line = passwdText.split('\n').find((one) => one.startsWith(`${name}:`));
    const group = Number(line?.split(':')[3]);
    if (line !== undefined && Number.isInteger(group) && group > 0) return group;
  }
  return null;
}
