import { drawFigures } from './figures.js';
import { keepLive } from './live.js';

/** A link to folded evidence means its content, so it is unfolded. */
function openTarget(): void {
  const target = document.getElementById(location.hash.slice(1));
  if (target instanceof HTMLDetailsElement) target.open = true;
}

addEventListener('hashchange', openTarget);
openTarget();
drawFigures();
keepLive();
