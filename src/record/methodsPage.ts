import type { Family, MeasureRow, MeasureUnit, Need } from '../measures/types.ts';

const UNIT_WORDS: Readonly<Record<MeasureUnit, string>> = {
  mm: 'mm',
  mm2: 'mm²',
  mm3: 'mm³',
  deg: '°',
  percent: '%',
  per_cm: 'per cm',
  g: 'g',
  g_per_cm2: 'g/cm²',
  '1': '–',
  text: 'word',
  count: 'count',
};

const NEED_WORDS: Readonly<Record<Need, string>> = {
  outline: 'an outline',
  margin: 'the margin in three dimensions',
  faces: 'both faces as a surface',
};

const OPENING = `# Methods

What every number means, how it is found and where its definition comes from. The tables below are written from the
program's own catalogue of measures (\`npm run docs\`), so they say what the program does.

## Words

A **biface** is a stone worked on both faces. **Face A** and **Face B** are the two faces. The **margin** is the closed
line where they meet; the **edge** is the same thing seen as a cutting edge. **Left** and **right** are as seen on Face A,
tip up. **Tip** and **base** are the two ends. The **outline** is the plan silhouette, the **midline** the line down the
middle of it. A **station** is a place along the length, in percent from base (0) to tip (100). A **section** is a cut square
to the length axis, a **profile** the edge-on silhouette. A **hump** is a lump left on a face where thinning flakes stopped
short.

## Specimen frame

Millimetres, right-handed: +Y from base to tip along the length axis, +Z out of Face A, +X to the right when Face A is seen
tip up. The origin lies on the length axis at the base end of the outline, on the margin plane. The record keeps the
matrix from the file's coordinates to this frame, so that every number can be traced back to the scan.

- **Margin plane**: the total-least-squares plane of the margin line. The first guess is the direction in which the surface,
  weighted by area and not by vertices, is thinnest; then the margin is traced as seen along it, a plane is fitted, and so
  on until it rests. Where it does not come to rest there is a warning.
- **Length axis**, in the margin plane, one of four; the record says which.

  | id | definition |
  |---|---|
  | \`mirror\` (default) | the line whose reflection of the outline onto itself leaves the smallest symmetric difference area; direction and offset both free, direction within ±25° of \`principal\` |
  | \`principal\` | major axis of the outline's area second moments, through the area centroid |
  | \`longest\` | direction of the greatest caliper diameter |
  | \`tip-base\` | from a placed base midpoint to a placed tip |

- **Tip**: the end whose outer 15 % of length holds less area. Where the two ends are within a tenth of each other there is
  a warning, and the choice can be flipped.
- **Face A**: the face with more volume above the margin plane. Flipping it changes no magnitude.

## Uncertainty

Each number carries a standard uncertainty u in its own unit, by the *Guide to the Expression of Uncertainty in Measurement*
(JCGM 100:2008): the root sum of squares of components that are listed beside it, by cause: scale, resolution (triangle
size), noise (estimated from the surface itself), orientation, tracing and, in photographs, the hand that drew part of an outline. Orientation is what the uncertainty of the chosen
axis is worth: measures of the plan that depend on it are taken again with the axis turned as far as the outline's errors let
it turn, and with the margin plane tilted as far as walls of the margin (breaks, upright rinds) leave open. Beside these stands \`definition\`, which is no part of u: the standard deviation of the measure under the three
automatic axes, what the choice between them is worth (definitional uncertainty, JCGM 100:2008, D.3.4). On the sheet and the screen u is shown with two figures and the value to the
same place; in files both keep two figures more.

Three things that a scan leaves open are in u and are told in a warning. Noise that neighbouring points share (looked for on the faces, where it
is everywhere and fills up as discs widen) is in all that rests on the surface; nothing takes it off. Where the edge is round, the
stone may be worn or the scan may have taken its edge off: what rests on the outline is measured again with the outline moved to
where the faces would meet, and both are held as likely. Where the margin runs along a hole, a bite as deep as half its width is.

A measure that does not apply has no value and says why. What part of a piece is missing is not made up: a measure that can
only be a lower bound says so.
`;

const CLOSING = `
## Cautions

Fresh edges cut: handle large blades with care and as the institution's own rules say. Some pieces are sacred or funerary, or
belong to descendant communities: follow the law and the institution's policy on who may scan, see and publish them. Exact
find-spots invite looting: exports leave coordinates out unless asked. Numbers support a judgement by a trained analyst; they
do not date, authenticate or appraise a piece.
`;

/** The methods page in Markdown, from the catalogue. */
export function methodsPage(families: readonly Family[]): string {
  return `${OPENING}${families.map(familyPart).join('')}${CLOSING}`;
}

function familyPart({ title, rows }: Family): string {
  const lines = rows.map(
    (row) =>
      `| \`${row.id}\` | ${cell(row.name)} | ${UNIT_WORDS[row.unit]} | ${cell(row.definition)} | ${cell(row.source)} |`,
  );
  const table = ['| id | name | unit | definition | source |', '|---|---|---|---|---|', ...lines];
  return `\n## ${title}\n\n${needs(rows)}\n\n${table.join('\n')}\n`;
}

/** What the measures of a family can't do without, and whether the choice of axis moves them. */
function needs(rows: readonly MeasureRow[]): string {
  const wanted = (['outline', 'margin', 'faces'] as const).filter((need) =>
    rows.some((row) => row.needs === need),
  );
  const axis = rows.filter((row) => row.axis).length;
  const moved =
    axis === 0
      ? 'None depends on the choice of length axis.'
      : axis === rows.length
        ? 'All depend on the choice of length axis.'
        : `Of ${rows.length}, ${axis} depend on the choice of length axis.`;
  return `Needs ${wanted.map((need) => NEED_WORDS[need]).join(', or ')}. ${moved}`;
}

/** Text inside a Markdown table: a bar would part the cell, an angle bracket would open a tag. */
function cell(text: string): string {
  return text.replaceAll('|', '\\|').replaceAll('<', '&lt;').replaceAll('\n', ' ');
}
