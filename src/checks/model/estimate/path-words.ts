import type { PathEstimate } from './types.js';

type Named = Pick<PathEstimate, 'path' | 'direction' | 'streams'>;

/**
 * A path as people say it: "reading recordings", "transcribing-desk reading recordings, many at
 * once", "all drives behind slot-short reading together".
 */
export function pathWords({ path, direction, streams }: Named): string {
  const verb = direction === 'read' ? 'reading' : 'writing';
  const [kind = '', name = ''] = split(path, ':');
  if (kind === 'group') return `all drives behind ${name} ${verb} together`;
  const many = streams === 'many' ? ', many at once' : '';
  if (kind === 'client') return `${clientWords(name, verb)}${many}`;
  return `${verb} ${kind === 'drive' ? `drive ${name}` : name}${many}`;
}

function clientWords(name: string, verb: string): string {
  const [client = '', array = ''] = split(name, '/');
  return array === 'memory'
    ? `${client} ${verb} small copies that fit in memory`
    : `${client} ${verb} ${array}`;
}

function split(text: string, mark: string): readonly string[] {
  const at = text.indexOf(mark);
  return at < 0 ? [text] : [text.slice(0, at), text.slice(at + 1)];
}
