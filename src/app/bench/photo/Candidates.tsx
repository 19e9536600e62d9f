import type { Candidate } from '../../../../workers/messages.ts';
import { useBench } from '../../workbench.ts';
import { ringPath } from './ringPath.ts';
import { usePhotoTarget } from './target.ts';
import type { View } from './useView.ts';

interface CandidatesProps {
  readonly candidates: readonly Candidate[];
  readonly view: View;
  /** Whether the press that ends now moved the picture. */
  readonly dragged: () => boolean;
}

/** The other things that stand off the backdrop: thin lines, each of which can be measured instead. */
export function Candidates({ candidates, view, dragged }: CandidatesProps) {
  const tool = useBench((state) => state.tool);
  const { chosen, told, change } = usePhotoTarget();
  return (
    <g className="candidates" data-still={tool !== null}>
      {candidates.map(({ ring }, k) => {
        if (k + 1 === chosen) return null;
        const d = ringPath([ring], view);
        const [x, y] = view.toScreen(...highest(ring));
        const choose = (): void => change({ piece: k + 1, corrections: undefined });
        // The one that was to be measured and could not be: to choose it again would change nothing.
        if (k + 1 === (told.piece ?? 1)) {
          return (
            // biome-ignore lint/suspicious/noArrayIndexKey: candidates have no name but their number
            <g key={k} className="candidate-refused">
              <path className="photo-seam" d={d} />
              <path className="candidate-ring" d={d} />
            </g>
          );
        }
        return (
          // biome-ignore lint/a11y/useSemanticElements: no element of HTML is an outline in a drawing
          <g
            // biome-ignore lint/suspicious/noArrayIndexKey: candidates have no name but their number
            key={k}
            className="candidate"
            role="button"
            tabIndex={0}
            aria-label={`Measure number ${k + 1} instead`}
            onClick={() => tool === null && !dragged() && choose()}
            onKeyDown={(event) => {
              if (event.key !== 'Enter' && event.key !== ' ') return;
              event.preventDefault();
              choose();
            }}
          >
            <path className="photo-seam" d={d} />
            <path className="candidate-ring" d={d} />
            <text x={x} y={y - 6} textAnchor="middle">
              {k + 1}
            </text>
          </g>
        );
      })}
    </g>
  );
}

/** The place of a ring that is highest on the screen. */
function highest(ring: Float32Array): [number, number] {
  let at = 0;
  for (let i = 2; i < ring.length; i += 2) if (ring[i + 1] < ring[at + 1]) at = i;
  return [ring[at], ring[at + 1]];
}
