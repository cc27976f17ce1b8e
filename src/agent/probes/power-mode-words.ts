/** COUNT after CHECK POWER MODE (HGST HC580 p. 138); SCSI conditions are told in the same codes. */
const modes: Readonly<Record<number, string>> = {
  0: 'standby: asleep',
  1: 'standby, kind y: asleep',
  64: 'active, spindle down',
  65: 'active, spindle up',
  128: 'idle',
  129: 'idle, kind a',
  130: 'idle, kind b',
  131: 'idle, kind c',
  255: 'active or idle',
};

export function powerModeWords(code: number): string {
  return modes[code] ?? `code ${code}, meaning not known`;
}
