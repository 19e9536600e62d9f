import type { Warning } from '../../../geometry/types.ts';

/** What one should know before trusting the numbers. */
export function Warnings({ warnings }: { warnings: readonly Warning[] }) {
  if (warnings.length === 0) return null;
  return (
    <section className="warnings" aria-labelledby="warnings-title">
      <h3 id="warnings-title">{warnings.length === 1 ? 'One warning' : `${warnings.length} warnings`}</h3>
      <ul>
        {warnings.map(({ code, text }) => (
          <li key={code + text}>{text}</li>
        ))}
      </ul>
    </section>
  );
}
