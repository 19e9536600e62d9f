import type { Page } from 'playwright-core';

/** What is clicked. */
const CLICKED = 'button:not(:disabled), a.button, nav a, summary, select';

/**
 * What is clicked and does not stand out enough from its ground while the pointer is over it and while it is held down
 * (WCAG 2.2, 1.4.3), as lines to read. axe-core sees every element as it is when nothing points at it.
 */
export async function faintUnderPointer(page: Page): Promise<string[]> {
  const session = await page.context().newCDPSession(page);
  await session.send('DOM.enable');
  await session.send('CSS.enable');
  const { root } = await session.send('DOM.getDocument', { depth: 0 });
  const { nodeIds } = await session.send('DOM.querySelectorAll', { nodeId: root.nodeId, selector: CLICKED });
  const kinds = await firstOfEachKind(page);
  const found: string[] = [];
  for (const forcedPseudoClasses of [['hover'], ['hover', 'active']]) {
    await Promise.all(
      kinds.map((k) => session.send('CSS.forcePseudoState', { nodeId: nodeIds[k], forcedPseudoClasses })),
    );
    found.push(...(await faint(page)).map((line) => `${forcedPseudoClasses.join(' + ')}: ${line}`));
  }
  await session.detach();
  return found;
}

/** Places, in the document's order, of one for each look: hundreds of rows have the same. */
function firstOfEachKind(page: Page): Promise<number[]> {
  return page.evaluate((selector) => {
    const seen = new Set<string>();
    return [...document.querySelectorAll(selector)].flatMap((element, k) => {
      const { tagName, className, parentElement } = element;
      const pressed = element.getAttribute('aria-pressed') ?? element.getAttribute('aria-current');
      const kind = [tagName, className, pressed, parentElement?.className].join('\n');
      if (seen.has(kind) || !element.checkVisibility()) return [];
      seen.add(kind);
      return [k];
    });
  }, CLICKED);
}

function faint(page: Page): Promise<string[]> {
  return page.evaluate((selector) => {
    const canvas = new OffscreenCanvas(1, 1).getContext('2d', { willReadFrequently: true });
    if (canvas === null) throw new Error('no 2D canvas');
    /** A colour laid over another, sRGB. */
    const over = (css: string, ground: readonly number[]): readonly number[] => {
      canvas.fillStyle = `rgb(${ground.join(' ')})`;
      canvas.fillRect(0, 0, 1, 1);
      canvas.fillStyle = css;
      canvas.fillRect(0, 0, 1, 1);
      return [...canvas.getImageData(0, 0, 1, 1).data.slice(0, 3)];
    };
    const luminance = (rgb: readonly number[]): number => {
      const [r, g, b] = rgb.map((byte) => {
        const c = byte / 255;
        return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const groundOf = (element: Element | null): readonly number[] =>
      element === null
        ? [255, 255, 255]
        : over(getComputedStyle(element).backgroundColor, groundOf(element.parentElement));
    return [...document.querySelectorAll(selector)].flatMap((element) => {
      if (!element.checkVisibility() || !element.textContent?.trim()) return [];
      const { color, fontSize, fontWeight } = getComputedStyle(element);
      const ground = groundOf(element);
      const [light, dark] = [luminance(over(color, ground)), luminance(ground)].toSorted((a, b) => b - a);
      const ratio = (light + 0.05) / (dark + 0.05);
      const px = Number.parseFloat(fontSize);
      const needed = px >= 24 || (px >= 18.66 && Number(fontWeight) >= 700) ? 3 : 4.5;
      return ratio >= needed ? [] : [`${ratio.toFixed(2)} of ${needed}: ${element.outerHTML.slice(0, 120)}`];
    });
  }, CLICKED);
}
