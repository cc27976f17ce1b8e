const monthNames = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;
const dayMs = 24 * hourMs;

/** "12 March 2026", in the box's own time zone. */
export function dayWords(wallMs: number): string {
  const date = new Date(wallMs);
  return `${date.getDate()} ${monthNames[date.getMonth()] ?? ''} ${date.getFullYear()}`;
}

/** "14:05", in the box's own time zone. */
export function clockWords(wallMs: number): string {
  const date = new Date(wallMs);
  return `${twoDigits(date.getHours())}:${twoDigits(date.getMinutes())}`;
}

/** "12 March 2026, 14:05". */
export function momentWords(wallMs: number): string {
  return `${dayWords(wallMs)}, ${clockWords(wallMs)}`;
}

/** How long ago, in one unit. A moment after now means that a clock was set: then it says so. */
export function ageWords(wallMs: number, nowMs: number): string {
  const ageMs = nowMs - wallMs;
  if (ageMs < -minuteMs) return 'date unclear';
  if (ageMs < minuteMs) return 'just now';
  return `${roughLength(ageMs)} ago`;
}

/** "35 s", "12 min", "3 h", "9 days": one unit, rounded down. */
export function roughLength(lengthMs: number): string {
  if (lengthMs < minuteMs) return `${Math.max(0, Math.floor(lengthMs / 1000))} s`;
  if (lengthMs < hourMs) return `${Math.floor(lengthMs / minuteMs)} min`;
  if (lengthMs < 2 * dayMs) return `${Math.floor(lengthMs / hourMs)} h`;
  return `${Math.floor(lengthMs / dayMs)} days`;
}

/** The moment as machines read it, for the `datetime` of a time element. */
export function machineTime(wallMs: number): string {
  return Number.isFinite(wallMs) && Math.abs(wallMs) < 8.64e15
    ? new Date(wallMs).toISOString()
    : '';
}

function twoDigits(value: number): string {
  return String(value).padStart(2, '0');
}
