import type { MeasuredPiece } from '../../../../workers/messages.ts';
import { useBlobUrl } from '../useBlobUrl.ts';

/** In place of the three-dimensional view where the browser has none: the picture of Face A, and why. */
export function NoStage({ measured }: { measured: MeasuredPiece | null }) {
  const url = useBlobUrl(measured?.reliefA.image);
  return (
    <section className="panel stage stage-waiting" aria-label="The piece in three dimensions">
      {url !== null && <img src={url} alt="Face A" />}
      <p className="soft">
        This browser draws no three-dimensional graphics (WebGL 2 is missing or turned off). Everything is
        measured all the same, and drawn in the other views.
      </p>
    </section>
  );
}
