import type { Warning } from '../../../geometry/types.ts';
import { useBench } from '../../workbench.ts';
import { isOfPlaces } from '../photo/doubts.ts';

/** What one should know before trusting the numbers. */
export function Warnings({ warnings }: { warnings: readonly Warning[] }) {
  const marked = useBench(({ measured }) => (measured?.photo?.doubted.length ?? 0) > 0);
  if (warnings.length === 0) return null;
  return (
    <section className="warnings" aria-labelledby="warnings-title">
      <h3 id="warnings-title">{warnings.length === 1 ? 'One warning' : `${warnings.length} warnings`}</h3>
      <ul>
        {warnings.map(({ code, text }) => (
          <li key={code + text}>
            {text}
            {marked && isOfPlaces(code) && ' Such places are marked in yellow on the photograph.'}
          </li>
        ))}
      </ul>
    </section>
  );
}
