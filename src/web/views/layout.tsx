import { html } from 'hono/html';
import type { Child, FC } from 'hono/jsx';
import { momentWords } from '../../checks/moments.js';
import type { PageFacts } from '../page-facts.js';
import { AgentLine, AgentNotice } from './agent-notice.js';

export const pages = [
  { path: '/', name: 'Box' },
  { path: '/trial', name: 'Parts on trial' },
  { path: '/estimate', name: 'Estimate' },
  { path: '/speeds', name: 'Speeds' },
  { path: '/history', name: 'Box history' },
  { path: '/findings', name: 'Findings' },
] as const;

export interface LayoutProps {
  readonly title: string;
  /** Path of the page in the list above, or null for pages below them. */
  readonly current: string | null;
  readonly facts: PageFacts;
  readonly children: Child;
}

/** The frame of every page: banner, running head, content, and the line about the agent. */
export const Layout: FC<LayoutProps> = ({ title, current, facts, children }) => (
  <html lang="en">
    <head>
      <meta charset="utf-8" />
      <meta name="viewport" content="width=device-width, initial-scale=1" />
      <meta name="color-scheme" content="light dark" />
      <title>{title} · Bayward</title>
      <link rel="icon" href="data:," />
      <link rel="stylesheet" href="/assets/style.css" />
      <script type="module" src="/assets/page.js"></script>
    </head>
    <body>
      <a class="skip" href="#content">
        Skip to the content
      </a>
      {facts.banner === null ? null : <p class="banner">{facts.banner}</p>}
      <header class="head">
        <a class="head-name" href="/">
          Bayward
        </a>
        <nav aria-label="Pages">
          <ul class="line">
            {pages.map((page) => (
              <li>
                <a href={page.path} aria-current={page.path === current ? 'page' : undefined}>
                  {page.name}
                </a>
              </li>
            ))}
          </ul>
        </nav>
      </header>
      <AgentNotice agent={facts.agent} />
      <main id="content" tabindex={-1}>
        {children}
      </main>
      <p id="spoken" class="visually-hidden" aria-live="polite"></p>
      <footer class="foot" data-live="foot">
        <AgentLine agent={facts.agent} />
        <p>Page made {momentWords(facts.nowMs)}.</p>
      </footer>
    </body>
  </html>
);

/** A whole document; JSX alone cannot say its document type. */
export function renderPage(props: LayoutProps) {
  return html`<!doctype html>${<Layout {...props} />}`;
}
