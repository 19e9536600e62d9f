import type { MeasuredPiece } from '../../../../workers/messages.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { useBlobUrl } from '../useBlobUrl.ts';

/** In the surface's place until it is read: the picture of Face A, as it was kept. */
export function StageWaiting({ measured }: { measured: MeasuredPiece | null }) {
  const { bench } = useWorkbench();
  const working = useBench((state) => state.phase === 'working');
  const url = useBlobUrl(measured?.reliefA.image);
  return (
    <section className="panel stage stage-waiting" aria-label="The piece in three dimensions">
      {url !== null && <img src={url} alt="Face A" />}
      <p className="soft">
        {working ? 'Its numbers were kept; its surface is being read.' : 'Its surface was not read.'}{' '}
        {!working && (
          <button type="button" className="button" onClick={() => bench.again()}>
            Read it
          </button>
        )}
      </p>
    </section>
  );
}
