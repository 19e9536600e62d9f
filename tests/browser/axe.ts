import type { Page } from 'playwright-core';

/** What axe-core answers, as far as it is read here. */
interface Findings {
  readonly violations: readonly {
    readonly id: string;
    readonly impact: string | null;
    readonly nodes: readonly { readonly html: string; readonly failureSummary?: string }[];
  }[];
}

/**
 * Breaches of WCAG 2.2 A and AA that axe-core calls serious or critical, as lines to read. The page must have been given
 * axe-core's script.
 */
export async function breaches(page: Page): Promise<string[]> {
  const { violations } = await page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run(options: object): Promise<Findings> } };
    // What is not laid out while it is out of sight has no true place: axe would find it over what follows it.
    const laidOut = new CSSStyleSheet();
    laidOut.replaceSync('.family { content-visibility: visible !important; }');
    const before = [...document.adoptedStyleSheets];
    document.adoptedStyleSheets = [...before, laidOut];
    try {
      return await axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] });
    } finally {
      document.adoptedStyleSheets = before;
    }
  });
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .flatMap(({ id, nodes }) => nodes.map(({ html, failureSummary }) => `${id}: ${html} ${failureSummary}`));
}
