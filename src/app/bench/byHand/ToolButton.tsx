import type { Tool } from '../../state/benchState.ts';
import { useBench, useWorkbench } from '../../workbench.ts';

/** Takes a tool in hand, or lays it down. */
export function ToolButton({ tool, children }: { tool: Tool; children: string }) {
  const { bench } = useWorkbench();
  const inHand = useBench((state) => state.tool);
  return (
    <button
      type="button"
      className="button"
      aria-pressed={inHand === tool}
      onClick={() => bench.takeUp(inHand === tool ? null : tool)}
    >
      {children}
    </button>
  );
}
