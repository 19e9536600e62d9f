import { feretPlaces } from '../../../geometry/feret.ts';
import { convexHull } from '../../../geometry/hull.ts';
import { BASE_STATION, fitBase, fitTipCircle, fitTipLines } from '../../../measures/outlineEnds.ts';
import type { AxisId } from '../../../trace/types.ts';
import { farthest, narrowest } from './calipers.ts';
import { entry } from './entry.ts';
import { flat, type Look } from './look.ts';
import { dimension, guide, line, type Place, ring } from './marks.ts';
import {
  axisStroke,
  greatestWidthStroke,
  lengthStroke,
  mirroredStrokes,
  outlineStrokes,
  profileStroke,
  widthStroke,
} from './strokes.ts';

const CIRCLE_CORNERS = 90;
const CURVE_STEPS = 40;
const DEGREES = 180 / Math.PI;

function circle(x: number, y: number, radius: number): Place[] {
  return Array.from({ length: CIRCLE_CORNERS }, (_, k): Place => {
    const turn = (2 * Math.PI * k) / CIRCLE_CORNERS;
    return [x + radius * Math.cos(turn), y + radius * Math.sin(turn), 0];
  });
}

/** What is taken from the outline alone. */
export const outlineEntries = [
  entry(/^length$/, (look) => ({ words: 'along the axis, end to end', marks: lengthStroke(look) })),
  entry(/^width(\.station)?$/, (look) => ({
    words: 'the longest chord square to the axis',
    marks: [greatestWidthStroke(look), axisStroke(look)],
    station: (100 * look.greatest.y) / look.length,
  })),
  entry(/^width\.at\.(\d+)$/, (look, [, station]) => ({
    words: `between the outermost margins at station ${station}`,
    marks: [widthStroke(look, (Number(station) / 100) * look.length), axisStroke(look)],
    station: Number(station),
  })),
  entry(/^elongation$/, (look) => ({
    words: 'length over greatest width',
    marks: [...lengthStroke(look), greatestWidthStroke(look)],
  })),
  entry(/^feret\.max$/, ({ outer }) => {
    const hull = convexHull(outer);
    const [from, to] = farthest(hull, feretPlaces(hull));
    return { words: 'the two points that lie farthest apart', marks: [dimension(from, to)] };
  }),
  entry(/^feret\.min$/, ({ outer }) => {
    const hull = convexHull(outer);
    const { jaw, other, across } = narrowest(hull, feretPlaces(hull));
    return {
      words: 'the narrowest gap between two parallel jaws',
      marks: [dimension(...across), guide(...jaw), guide(...other)],
    };
  }),
  entry(/^(area|thinning)$/, (look) => ({
    words: 'what the outline encloses',
    marks: outlineStrokes(look),
  })),
  entry(/^(perimeter|fourier\.error(\.max)?)$/, (look) => ({
    words: 'the outline',
    marks: [line(closed(look.rings[0]))],
  })),
  entry(/^circularity$/, (look) => {
    const { outer } = look.record.outline;
    const [x, y] = middle(outer);
    const radius = Math.sqrt((look.value('area') ?? 0) / Math.PI);
    return {
      words: 'the outline beside a circle of the same area',
      marks: [ring(look.rings[0]), guide(...closed(circle(x, y, radius)))],
    };
  }),
  entry(/^solidity$/, (look) => ({
    words: 'the outline inside its convex hull',
    marks: [ring(look.rings[0]), guide(...closed(hullOf(look)))],
  })),
  entry(/^tip\.angle$/, ({ chords, length }) => {
    const lines = fitTipLines(chords, length);
    if (lines === null) return null;
    const along = ({ u, w, direction }: typeof lines.left): Place[] => {
      // Drawn from 15 % below the tip to a little beyond it.
      const at = (y: number): Place => [u + (y - w) / Math.tan(direction), y, 0];
      return [at(0.85 * length), at(1.02 * length)];
    };
    return {
      words: 'lines fitted to both margins, 2 to 15 % of the length below the tip',
      marks: [line(along(lines.left)), line(along(lines.right))],
      station: 92,
    };
  }),
  entry(/^tip\.radius$/, ({ outer, length }) => {
    const { circle: fitted } = fitTipCircle(outer, length);
    if (fitted === null) return null;
    const { x, y, radius } = fitted;
    return {
      words: 'the circle fitted to the margin round the tip',
      marks: [line(closed(circle(x, y, radius))), dimension([x, y, 0], [x, y + radius, 0])],
      station: 98,
    };
  }),
  entry(/^base\.shape$/, (look) => {
    const ends = look.chord((BASE_STATION / 100) * look.length);
    const { middle: level, bend } = fitBase(look.outer, ends);
    const [centre, half] = [(ends.left + ends.right) / 2, (ends.right - ends.left) / 2];
    const curve = Array.from({ length: CURVE_STEPS + 1 }, (_, k): Place => {
      const t = (2 * k) / CURVE_STEPS - 1;
      return [centre + t * half, level + bend * t * t, 0];
    });
    return {
      words: 'the base as a curve over its chord at station 5',
      marks: [
        line(curve),
        dimension([centre, level, 0], [centre, level + bend, 0]),
        guide([ends.left, ends.y, 0], [ends.right, ends.y, 0]),
      ],
      station: BASE_STATION,
    };
  }),
];

/** What is taken from the midline. */
export const midlineEntries = [
  entry(/^midline\.rms$/, (look) => ({
    words: 'the middles of the chords, beside the axis',
    marks: [line(flat(look.record.midline)), axisStroke(look)],
  })),
  entry(/^midline\.skew$/, (look) => {
    const lean = Math.tan((look.value('midline.skew') ?? 0) / DEGREES);
    const [x, y] = middle(look.record.midline);
    const at = (level: number): Place => [x + (level - y) * lean, level, 0];
    return {
      words: 'the line through the midline, beside the axis',
      marks: [line([at(0), at(look.length)]), guide(...flat(look.record.midline)), axisStroke(look)],
    };
  }),
  entry(/^midline\.bow$/, (look) => {
    const ends = [5, 95].map((station): Place => {
      const { left, right, y } = look.chord((station / 100) * look.length);
      return [(left + right) / 2, y, 0];
    });
    const [from, to] = ends;
    const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    const norm = Math.hypot(dx, dy);
    let worst = { off: 0, foot: from, at: from };
    for (const [x, y] of look.record.midline) {
      if (y < from[1] || y > to[1]) continue;
      const off = ((x - from[0]) * dy - (y - from[1]) * dx) / norm;
      if (Math.abs(off) <= Math.abs(worst.off)) continue;
      worst = { off, at: [x, y, 0], foot: [x - (off * dy) / norm, y + (off * dx) / norm, 0] };
    }
    return {
      words: 'the midline’s greatest distance from the line through its ends',
      marks: [line(flat(look.record.midline)), guide(from, to), dimension(worst.foot, worst.at)],
      station: (100 * worst.at[1]) / look.length,
    };
  }),
];

/** What compares left and right, or Face A and Face B. */
export const symmetryEntries = [
  entry(/^symmetry\.(difference|rms|continuous|fourier|overlap)$/, (look) => ({
    words: 'the outline and its mirror image in the axis',
    marks: mirroredStrokes(look, 0, 0),
  })),
  entry(/^symmetry\.overlap\.(mirror|principal|longest|tip-base)$/, (look, [, id]) => {
    const { axis, axes } = look.record.frame;
    const { angle, x } =
      (id as AxisId) === axis || id === 'tip-base' ? { angle: 0, x: 0 } : axes[id as 'mirror'];
    return { words: 'the outline mirrored in that axis', marks: mirroredStrokes(look, angle, x) };
  }),
  entry(/^symmetry\.worst(\.station)?$/, (look) => {
    const station = look.value('symmetry.worst.station');
    if (station === null) return null;
    const y = (station / 100) * look.length;
    const { left, right } = look.chord(y);
    return {
      words: 'both half-widths where they differ most',
      marks: [dimension([0, y, 0], [left, y, 0]), dimension([0, y, 0], [right, y, 0]), axisStroke(look)],
      station,
    };
  }),
  entry(/^faces\.balance$/, (look) => ({
    words: 'the body on either side of the margin plane',
    marks: [profileStroke(look), axisStroke(look)],
  })),
];

const closed = (points: readonly Place[]): Place[] => [...points, points[0]];

function hullOf({ outer }: Look): Place[] {
  const hull = convexHull(outer);
  return Array.from({ length: hull.length / 2 }, (_, k) => [hull[2 * k], hull[2 * k + 1], 0]);
}

function middle(points: readonly (readonly [number, number])[]): [x: number, y: number] {
  const n = points.length || 1;
  return [points.reduce((sum, [x]) => sum + x, 0) / n, points.reduce((sum, [, y]) => sum + y, 0) / n];
}
