// Checks that run inside the page, as text: this project's tests are compiled without the DOM.

/** Elements that stick out of the viewport to the right. */
export const overflowing = `(() => {
  const width = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth <= width) return [];
  return [...document.querySelectorAll('body *')]
    .filter((one) => one.getBoundingClientRect().right > width + 1)
    .map((one) => one.tagName + '.' + one.className + ': ' + (one.textContent || '').slice(0, 40));
})()`;

/**
 * Texts whose contrast is below 4.5 to 1, or 3 to 1 for large ones (WCAG 2.2, 1.4.3), with relative
 * luminance as defined there. Backgrounds are those of the nearest ancestor that has one.
 */
export const faintTexts = `(() => {
  const parse = (text) => (text.match(/[\\d.]+/g) || []).map(Number);
  const channel = (value) => {
    const share = value / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  };
  const luminance = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
  const background = (element) => {
    for (let one = element; one !== null; one = one.parentElement) {
      const colour = parse(getComputedStyle(one).backgroundColor);
      if (colour.length === 3 || colour[3] === 1) return colour;
    }
    return [255, 255, 255];
  };
  const faint = [];
  for (const element of document.querySelectorAll('body *')) {
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim() !== '');
    if (!own || element.getClientRects().length === 0) continue;
    const style = getComputedStyle(element);
    const [one, other] = [luminance(parse(style.color)), luminance(background(element))];
    const ratio = (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
    const pixels = Number.parseFloat(style.fontSize);
    const large = pixels >= 24 || (pixels >= 18.66 && Number(style.fontWeight) >= 700);
    if (ratio < (large ? 3 : 4.5)) {
      faint.push(ratio.toFixed(2) + ' ' + element.tagName + ': ' + element.textContent.slice(0, 40));
    }
  }
  return faint;
})()`;

/** What has the focus, in words that a failing test can show. */
export const focused = `(() => {
  const one = document.activeElement;
  return one === null ? '' : one.tagName + ' ' + (one.getAttribute('href') || one.className || one.textContent);
})()`;

/** Whether the focused element shows that it is: an outline with width. */
export const focusVisible = `(() => {
  const style = getComputedStyle(document.activeElement);
  return style.outlineStyle !== 'none' && Number.parseFloat(style.outlineWidth) >= 2;
})()`;

/** Charts whose canvas holds something else than one colour. */
export const drawnCharts = `[...document.querySelectorAll('.chart canvas')].filter((canvas) => {
  const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
  for (let at = 3; at < data.length; at += 4) if (data[at] > 0) return true;
  return false;
}).length`;

/** How large the smallest button is, in pixels of its smaller side. */
export const smallestButton = `Math.min(...[...document.querySelectorAll('button')]
  .map((one) => one.getBoundingClientRect()).filter((box) => box.width > 0)
  .map((box) => Math.min(box.width, box.height)), 1000)`;
