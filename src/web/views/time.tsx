import type { FC } from 'hono/jsx';
import { ageWords, machineTime, momentWords } from '../../checks/moments.js';

/** How long ago something was, with the full moment behind it. */
export const Age: FC<{ wallMs: number; nowMs: number }> = ({ wallMs, nowMs }) => (
  <time datetime={machineTime(wallMs)} title={momentWords(wallMs)}>
    {ageWords(wallMs, nowMs)}
  </time>
);

/** A full moment. */
export const Moment: FC<{ wallMs: number }> = ({ wallMs }) => (
  <time datetime={machineTime(wallMs)}>{momentWords(wallMs)}</time>
);
