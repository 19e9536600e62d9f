import { useState } from 'react';
import type { RecordHump } from '../../../record/schema.ts';
import { printNumber } from '../../words/values.ts';
import { useBench, useWorkbench } from '../../workbench.ts';

/** So many are listed at first; a piece given up early may have a dozen. */
const AT_FIRST = 4;

/** The humps, largest first. Choosing one shows it in every view. */
export function HumpList({ humps }: { humps: readonly RecordHump[] }) {
  const { bench } = useWorkbench();
  const chosen = useBench((state) => state.hump);
  const [all, setAll] = useState(false);
  if (humps.length === 0) return null;
  const listed = all || (chosen ?? 0) >= AT_FIRST ? humps : humps.slice(0, AT_FIRST);
  return (
    <section className="hump-list" aria-labelledby="humps-title">
      <h3 id="humps-title">Where thinning stopped</h3>
      <ol>
        {listed.map((hump, index) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: humps have no name but their place in the record
          <li key={index}>
            <button
              type="button"
              aria-pressed={chosen === index}
              onClick={() => bench.choose(chosen === index ? null : index)}
            >
              <span className="hump-mark">{index + 1}</span>
              <span>
                Face {hump.face}, station {printNumber(hump.station, 0)}: {printNumber(hump.prominence, 1)}
                &#8239;mm high, {printNumber(hump.area, 0)}&#8239;mm²
              </span>
              <span className="soft hump-run">{needed(hump)}</span>
            </button>
          </li>
        ))}
      </ol>
      {listed.length < humps.length && (
        <button type="button" className="button hump-more" onClick={() => setAll(true)}>
          All {humps.length} humps
        </button>
      )}
    </section>
  );
}

/** How far a flake must run to take it off, from the nearer margin. */
function needed({ run }: RecordHump): string {
  const fromLeft = run.left <= run.right;
  const share = fromLeft ? run.leftShare : run.rightShare;
  const way = `${printNumber(Math.min(run.left, run.right), 0)}\u202fmm from the ${fromLeft ? 'left' : 'right'}`;
  return `Its far foot lies ${way}${share > 50 ? ', past the midline' : ''}.`;
}
