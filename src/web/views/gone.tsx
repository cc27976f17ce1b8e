import type { FC } from 'hono/jsx';
import { Age } from './time.js';

interface GoneProps {
  readonly wallMs: number;
  readonly lastPlace: string | null;
  readonly nowMs: number;
}

/** What is shown of a part that is not there: since when, where it was, and what follows is old. */
export const Gone: FC<GoneProps> = ({ wallMs, lastPlace, nowMs }) => (
  <p>
    <strong>
      Gone, noticed <Age wallMs={wallMs} nowMs={nowMs} />
    </strong>
    {lastPlace === null ? '.' : `; last seen at ${lastPlace}.`} Nothing is known of it now: what
    follows is from the last time it was there.
  </p>
);
