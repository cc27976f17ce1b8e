import type { FC } from 'hono/jsx';

export interface Problem {
  readonly title: string;
  readonly text: string;
  readonly hint: string | null;
}

/** Something could not be shown: what, why, and what to do. */
export const ProblemPage: FC<{ problem: Problem }> = ({ problem }) => (
  <div class="title">
    <h1>{problem.title}</h1>
    <p class="lede">{problem.text}.</p>
    {problem.hint === null ? null : <p>{problem.hint}.</p>}
    <p>
      <a href="/">Back to the box</a>
    </p>
  </div>
);
