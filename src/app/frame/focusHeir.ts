/** What the tabulator stops at. */
const STOPS = 'a[href], button, input, select, textarea, summary, [tabindex]';

/**
 * Hands the focus on when what has it is taken away, so that keys go on from there and a screen reader says where one is
 * now: to the next stop after it, else to the one before, among what is left around it; to `place` itself where a whole
 * place gave way to another. Who moves the focus in the same step is left alone.
 *
 * @param page everything that may have the focus
 * @param place id of the element in which places follow one another
 * @returns ends it
 */
export function keepFocus(page: HTMLElement, place: string): () => void {
  let held: HTMLElement | null = null;
  const take = ({ target }: Event): void => {
    held = target as HTMLElement;
  };
  // Who points elsewhere has let go of it.
  const letGo = ({ target }: Event): void => {
    if (held?.contains(target as Node) === false) held = null;
  };
  const observer = new MutationObserver((records) => {
    if (held === null || (document.activeElement ?? document.body) !== document.body) return;
    const lost = held;
    const record = records.findLast(({ removedNodes }) =>
      [...removedNodes].some((node) => node.contains(lost)),
    );
    if (record === undefined) return;
    // What was only moved keeps it.
    const heir = lost.isConnected ? lost : heirOf(record, place);
    held = null;
    heir?.focus({ preventScroll: lost.isConnected || heir.id === place });
  });
  observer.observe(page, { childList: true, subtree: true });
  page.addEventListener('focusin', take);
  document.addEventListener('pointerdown', letGo);
  return () => {
    observer.disconnect();
    page.removeEventListener('focusin', take);
    document.removeEventListener('pointerdown', letGo);
  };
}

function heirOf({ target, nextSibling, previousSibling }: MutationRecord, place: string): HTMLElement | null {
  const whole = document.getElementById(place);
  let next = nextSibling;
  let before = previousSibling;
  for (let around: Node | null = target; around instanceof HTMLElement; around = around.parentElement) {
    // Places begin anew inside it; what holds it holds all else as well.
    if (around.contains(whole)) break;
    const stops = [...around.querySelectorAll<HTMLElement>(STOPS)].filter(isStop);
    const after = stops.find((stop) => next?.isConnected && isAtOrAfter(stop, next));
    // Of what stands before, its first stop: the last may be what takes it away as well. Of what took its place, too.
    const heir =
      after ?? stops.find((stop) => before?.contains(stop)) ?? (before === null ? stops[0] : stops.at(-1));
    if (heir !== undefined) return heir;
    next = around.nextSibling;
    before = around.previousSibling;
  }
  if (whole !== null) whole.tabIndex = -1;
  return whole;
}

function isStop(element: HTMLElement): boolean {
  return element.tabIndex >= 0 && !element.matches(':disabled') && element.checkVisibility();
}

function isAtOrAfter(element: Node, other: Node): boolean {
  const found = other.compareDocumentPosition(element);
  return (
    element === other ||
    (found & (Node.DOCUMENT_POSITION_FOLLOWING | Node.DOCUMENT_POSITION_CONTAINED_BY)) !== 0
  );
}
