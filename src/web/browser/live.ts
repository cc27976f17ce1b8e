// Keeps an open page true: asks whether the agent answers and how far running work is, and when
// something else changed, fetches the page again and swaps the parts that are marked as live.

interface Work {
  readonly run: number;
  readonly kind: string;
  readonly share: number | null;
  readonly words: string;
  readonly state: string;
  readonly stage: string;
}

interface Progress {
  readonly agent: string;
  readonly running: readonly Work[];
  readonly runs: readonly { readonly run: number; readonly state: string }[];
}

const askEveryMs = 5000;
const refreshEveryMs = 60_000;

/** Starts asking; while the page is hidden nothing is asked. */
export function keepLive(): void {
  let before = '';
  let refreshedAt = performance.now();
  const round = async () => {
    if (document.hidden) return;
    const progress = await load();
    const now = progress === null ? 'page-stopped' : standingOf(progress);
    if (progress !== null) showProgress(progress.running);
    const due = performance.now() - refreshedAt >= refreshEveryMs;
    if ((before !== '' && now !== before) || due) {
      refreshedAt = performance.now();
      await refresh();
      announce(progress);
    }
    before = now;
  };
  setInterval(() => void round(), askEveryMs);
  document.addEventListener('visibilitychange', () => void round());
  void round();
}

async function load(): Promise<Progress | null> {
  try {
    const response = await fetch('/api/trials');
    return response.ok ? ((await response.json()) as Progress) : null;
  } catch {
    return null;
  }
}

/** What, when it changes, makes the page worth fetching again. */
function standingOf(progress: Progress): string {
  const running = progress.running.map((work) => [work.kind, work.run, work.state, work.stage]);
  return JSON.stringify([progress.agent, running, progress.runs]);
}

function showProgress(running: readonly Work[]): void {
  for (const work of running) {
    const place = document.querySelector(
      `.progress[data-run="${work.run}"][data-kind="${work.kind}"]`,
    );
    const bar = place?.querySelector('progress');
    const words = place?.querySelector('.progress-words');
    if (bar && work.share !== null) bar.value = work.share;
    if (words) words.textContent = work.words;
  }
}

async function refresh(): Promise<void> {
  try {
    const response = await fetch(location.pathname + location.search);
    const page = new DOMParser().parseFromString(await response.text(), 'text/html');
    for (const place of document.querySelectorAll<HTMLElement>('[data-live]')) {
      const fresh = page.querySelector(`[data-live="${CSS.escape(place.dataset.live ?? '')}"]`);
      if (fresh !== null && !isInUse(place)) place.replaceWith(document.adoptNode(fresh));
    }
  } catch {
    // The page's own process is gone for now; the next round asks again.
  }
}

/** A part that somebody is reading or about to press stays as it is. */
function isInUse(place: HTMLElement): boolean {
  return place.contains(document.activeElement) || place.querySelector('details[open]') !== null;
}

/** Says changes of running work to those who listen instead of looking. */
function announce(progress: Progress | null): void {
  const spoken = document.querySelector('#spoken');
  if (spoken === null) return;
  spoken.textContent =
    progress === null
      ? 'The page gets no answer from the box.'
      : progress.running.map((work) => work.words).join('. ');
}
