import { askPython } from '../outside/python.ts';

/** Length of the black scale bar, mm, in a picture of the page (rows searched for one long dark run). */
export function barIn(file: string, dpi: number): { length: number; height: number } {
  return askPython(
    `
from PIL import Image
import numpy
Image.MAX_IMAGE_PIXELS = None
g = numpy.asarray(Image.open(data["file"]).convert("L")) < 128
mm = 25.4 / data["dpi"]
x0 = int(round(15 / mm))
best = 0
# The upper rail of the bar runs unbroken from the left border.
for row in g[:, x0 + 2:]:
    n = len(row) if row.all() else int(numpy.argmin(row))
    best = max(best, n)
print(json.dumps({"length": (best + 2) * mm, "height": g.shape[0] * mm}))`,
    { file, dpi },
  );
}
