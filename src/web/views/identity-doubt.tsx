import type { FC } from 'hono/jsx';
import type { IdentityDoubt } from '../../checks/identity-doubt.js';

/** What is said of a drive that has no name of its own, with what to do. */
export const DoubtedIdentity: FC<{ doubt: IdentityDoubt }> = ({
  doubt: { kind, why, nextStep },
}) => (
  <p>
    <strong>{kind === 'shared' ? 'Name told twice' : 'No name of its own'}.</strong> {why}{' '}
    {nextStep}
  </p>
);
