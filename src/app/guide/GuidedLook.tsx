import { useEffect, useRef } from 'react';
import { useGuide, useWorkbench } from '../workbench.ts';
import { STEPS } from './steps.ts';

/** The guided look: a card in a corner, beside which everything can be used. */
export function GuidedLook() {
  const { guide, goTo } = useWorkbench();
  const at = useGuide((state) => state.step);
  const title = useRef<HTMLHeadingElement>(null);
  const step = at === null ? undefined : STEPS[at];

  useEffect(() => {
    if (step === undefined) return;
    goTo(step.route);
    title.current?.focus();
    return frame(step.target);
  }, [step, goTo]);

  if (step === undefined || at === null) return null;
  const last = at === STEPS.length - 1;
  return (
    <section
      className="guide"
      data-corner={step.corner}
      aria-labelledby="guide-title"
      onKeyDown={({ key }) => {
        if (key === 'Escape') guide.leave();
      }}
    >
      <p className="guide-count">
        Guided look, {at + 1} of {STEPS.length}
      </p>
      <h2 id="guide-title" ref={title} tabIndex={-1}>
        {step.title}
      </h2>
      <p>{step.words}</p>
      {step.tryIt !== undefined && <p className="guide-try">{step.tryIt}</p>}
      <div className="guide-ways">
        <button
          type="button"
          className="button button-main"
          onClick={() => (last ? guide.leave() : guide.go(at + 1))}
        >
          {last ? 'Done' : 'Next'}
        </button>
        <button type="button" className="button" disabled={at === 0} onClick={() => guide.go(at - 1)}>
          Back
        </button>
        {!last && (
          <button type="button" className="button guide-skip" onClick={() => guide.leave()}>
            Leave the look
          </button>
        )}
      </div>
    </section>
  );
}

/**
 * Frames an element as soon as it is there, and what takes its place: a piece may still be measured, and what is drawn anew
 * after it is another element. The returned function takes the frame away.
 */
function frame(target: string): () => void {
  let framed: Element | null = null;
  const look = (): void => {
    if (framed?.isConnected) return;
    framed = document.querySelector(target);
    if (framed === null) return;
    framed.setAttribute('data-framed', '');
    framed.scrollIntoView({ block: 'nearest' });
  };
  look();
  // Told of before the page is painted, so that nobody sees the frame go and come.
  const watch = new MutationObserver(look);
  watch.observe(document.body, { childList: true, subtree: true });
  return () => {
    watch.disconnect();
    framed?.removeAttribute('data-framed');
  };
}
