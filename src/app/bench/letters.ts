/**
 * How much larger the page's letters are than on a screen of 1440 px: they grow with the screen, and what stands between
 * lines of writing in a drawing has to grow along.
 */
export function letterScale(): number {
  return Number.parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
}
