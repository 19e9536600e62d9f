import type { ReactNode } from 'react';
import { LAYOUTS, PAPERS, PLACES, type PlateStyle, PROJECTIONS } from '../../plate/plateStyle.ts';
import { NumberBox } from '../frame/NumberBox.tsx';
import { usePieces } from '../workbench.ts';
import { Check, Choice, Stations } from './controls.tsx';

const LAYOUT_NAMES = {
  full: 'Faces, edge-on view, sections',
  faces: 'Both faces',
  plan: 'Face A alone',
} as const;
const FACE_NAMES = {
  relief: 'Shaded, light from the upper left',
  arrises: 'Outline with arrises',
  outline: 'Outline',
} as const;
const PLACE_NAMES = { below: 'In rows below', beside: 'In a column beside Face A' } as const;
const SCALES = ['auto', '3:1', '2:1', '3:2', '1:1', '3:4', '2:3', '1:2', '2:5', '1:3', '1:4', '1:5'] as const;
/** As many numbers as fit the line below a figure. */
const MOST_MEASURES = 12;

interface FieldsProps {
  readonly style: PlateStyle;
  readonly onChange: (asked: Partial<PlateStyle>) => void;
}

/** Everything that a style can say, in the order in which one decides it. */
export function StyleFields({ style, onChange }: FieldsProps) {
  const full = style.layout === 'full';
  return (
    <>
      <Part title="Views">
        <Choice
          label="Layout"
          value={style.layout}
          options={LAYOUTS.map((id) => [id, LAYOUT_NAMES[id]])}
          onPick={(layout) => onChange({ layout })}
        />
        <Choice
          label="Faces"
          value={style.face}
          options={(['relief', 'arrises', 'outline'] as const).map((id) => [id, FACE_NAMES[id]])}
          onPick={(face) => onChange({ face })}
        />
        {full && (
          <Choice
            label="Projection"
            value={style.projection}
            options={PROJECTIONS.map((id) => [id, id === 'third-angle' ? 'Third-angle' : 'First-angle'])}
            onPick={(projection) => onChange({ projection })}
          />
        )}
        <Check label="Midline" on={style.midline} onSet={(midline) => onChange({ midline })} />
      </Part>
      {full && (
        <Part title="Sections">
          <Stations value={style.stations} onSettled={(stations) => onChange({ stations })} />
          <Choice
            label="Place"
            value={style.sections}
            options={PLACES.map((id) => [id, PLACE_NAMES[id]])}
            onPick={(sections) => onChange({ sections })}
          />
          <Check label="Hatched" on={style.hatch} onSet={(hatch) => onChange({ hatch })} />
        </Part>
      )}
      <Page style={style} onChange={onChange} />
      <Words style={style} onChange={onChange} />
      <Pen style={style} onChange={onChange} />
    </>
  );
}

function Part({ title, open = true, children }: { title: string; open?: boolean; children: ReactNode }) {
  return (
    <details className="plate-part" open={open}>
      <summary>{title}</summary>
      <div>{children}</div>
    </details>
  );
}

function Page({ style, onChange }: FieldsProps) {
  const scales = SCALES.some((known) => known === style.scale) ? SCALES : [...SCALES, style.scale];
  return (
    <Part title="Page">
      <Choice
        label="Scale"
        value={style.scale}
        options={scales.map((id) => [id, id === 'auto' ? 'The greatest that fits' : id])}
        onPick={(scale) => onChange({ scale })}
      />
      <Choice
        label="Paper"
        value={style.paper}
        options={(Object.keys(PAPERS) as (keyof typeof PAPERS)[]).map((id) => [id, id])}
        onPick={(paper) => onChange({ paper })}
      />
      <Check label="Landscape" on={style.landscape} onSet={(landscape) => onChange({ landscape })} />
      <Check label="Cut to the figure" on={style.trim} onSet={(trim) => onChange({ trim })} />
      <NumberBox
        pause={350}
        label="Border, mm"
        value={style.border}
        step={1}
        least={5}
        most={40}
        onSettled={(border) => onChange({ border })}
      />
    </Part>
  );
}

function Words({ style, onChange }: FieldsProps) {
  return (
    <Part title="Words and numbers">
      <Check label="Legend" on={style.legend} onSet={(legend) => onChange({ legend })} />
      {style.legend && (
        <>
          <MeasureChoice chosen={style.measures} onChoose={(measures) => onChange({ measures })} />
          <Check
            label="Find-spot in the legend"
            on={style.findSpot}
            onSet={(findSpot) => onChange({ findSpot })}
          />
        </>
      )}
      <Check label="Caption" on={style.caption} onSet={(caption) => onChange({ caption })} />
      <Check
        label="A line on what may be published"
        on={style.caution}
        onSet={(caution) => onChange({ caution })}
      />
    </Part>
  );
}

interface MeasureChoiceProps {
  readonly chosen: readonly string[];
  readonly onChoose: (ids: readonly string[]) => void;
}

/** Which numbers stand with each piece, in the order in which they were chosen. */
function MeasureChoice({ chosen, onChoose }: MeasureChoiceProps) {
  const families = usePieces((state) => state.families);
  const names = new Map(families.flatMap(({ rows }) => rows.map(({ id, name }) => [id, name])));
  const full = chosen.length >= MOST_MEASURES;
  const toggle = (id: string): void =>
    onChoose(chosen.includes(id) ? chosen.filter((one) => one !== id) : [...chosen, id]);
  return (
    <details className="plate-measures">
      <summary>
        Numbers: {chosen.length === 0 ? 'none' : chosen.map((id) => names.get(id) ?? id).join(', ')}
      </summary>
      <div className="plate-pieces">
        {families.map(({ id, title, rows }) => (
          <fieldset key={id}>
            <legend>{title}</legend>
            {rows
              .filter(({ unit }) => unit !== 'text')
              .map((row) => (
                <label key={row.id}>
                  <input
                    type="checkbox"
                    checked={chosen.includes(row.id)}
                    disabled={full && !chosen.includes(row.id)}
                    onChange={() => toggle(row.id)}
                  />
                  {row.name}
                </label>
              ))}
          </fieldset>
        ))}
      </div>
    </details>
  );
}

function Pen({ style, onChange }: FieldsProps) {
  const { lines, type } = style;
  return (
    <Part title="Lines and type, mm" open={false}>
      <div className="plate-numbers">
        {(
          [
            ['margin', 'Margin'],
            ['section', 'Sections, edge'],
            ['thin', 'Thin lines'],
          ] as const
        ).map(([id, label]) => (
          <NumberBox
            pause={350}
            key={id}
            label={label}
            value={lines[id]}
            step={0.05}
            least={0.05}
            most={2}
            onSettled={(value) => onChange({ lines: { ...lines, [id]: value } })}
          />
        ))}
        <NumberBox
          pause={350}
          label="Number"
          value={type.number}
          step={0.1}
          least={1}
          most={12}
          onSettled={(number) => onChange({ type: { ...type, number } })}
        />
        <NumberBox
          pause={350}
          label="Other words"
          value={type.text}
          step={0.1}
          least={1}
          most={8}
          onSettled={(text) => onChange({ type: { ...type, text } })}
        />
      </div>
    </Part>
  );
}
