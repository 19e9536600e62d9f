import { DEFAULT_SCAN_SETTINGS } from '../intake/settings.ts';
import { MM_PER_UNIT, type ScanSettings } from '../intake/types.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../measures/settings.ts';
import type { MeasureSettings } from '../measures/types.ts';
import { DEFAULT_PHOTO_SETTINGS, DEFAULT_TRACE_SETTINGS } from '../trace/settings.ts';
import {
  type AxisId,
  type PhotoSettings,
  type TraceSettings,
  VIEWS,
  type ViewSettings,
} from '../trace/types.ts';
import { RECORD_FORMAT, RecordError } from './schema.ts';
import { clipped, shown } from './shown.ts';

/** Everything that could change a number. */
export interface AllSettings {
  readonly scan: ScanSettings;
  readonly trace: TraceSettings;
  readonly measure: MeasureSettings;
  /** For photographs alone. */
  readonly photo?: PhotoSettings;
}

export const DEFAULT_SETTINGS: AllSettings = {
  scan: DEFAULT_SCAN_SETTINGS,
  trace: DEFAULT_TRACE_SETTINGS,
  measure: DEFAULT_MEASURE_SETTINGS,
};

/** More corrections of one outline, or more places on one stroke, are no work of a hand. */
const MOST_CORRECTIONS = 500;
const MOST_PLACES = 2000;
/** Fewer triangles than this are no scan of a worked stone. */
const LEAST_THIN = 1000;

const AXES: readonly AxisId[] = ['mirror', 'principal', 'longest', 'tip-base'];

/** Says what was expected when `ok` does not hold. */
interface Check {
  readonly expected: string;
  ok(value: unknown): boolean;
}

const isNumber = (value: unknown): value is number => typeof value === 'number' && Number.isFinite(value);
/** No picture is as large. */
const isPixel = (value: unknown): boolean => isNumber(value) && Math.abs(value) <= 1e5;
const isList = (value: unknown, item: (value: unknown) => boolean): boolean =>
  Array.isArray(value) && value.every(item);

const number: Check = { expected: 'a number', ok: isNumber };
const positive: Check = { expected: 'a number above 0', ok: (value) => isNumber(value) && value > 0 };
const notNegative: Check = { expected: 'a number, 0 or more', ok: (value) => isNumber(value) && value >= 0 };
const share: Check = { expected: 'a number from 0 to 1', ok: (v) => isNumber(v) && v >= 0 && v <= 1 };
const flag: Check = { expected: 'true or false', ok: (value) => typeof value === 'boolean' };
const point: Check = {
  expected: 'three numbers [x, y, z]',
  ok: (value) => isList(value, isNumber) && (value as unknown[]).length === 3,
};
const oneOf = (...words: readonly string[]): Check => ({
  expected: `one of ${words.join(', ')}`,
  ok: (value) => typeof value === 'string' && words.includes(value),
});

const isCorrection = (value: unknown): boolean => {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return false;
  const { kind, points, radius, hand, exact = false, ...unknown } = value as Record<string, unknown>;
  return (
    ['in', 'out', 'move'].includes(kind as string) &&
    isList(points, (item) => isList(item, isPixel) && (item as unknown[]).length === 2) &&
    (points as unknown[]).length >= 1 &&
    (points as unknown[]).length <= (kind === 'move' ? 2 : MOST_PLACES) &&
    (kind !== 'move' || (points as unknown[]).length === 2) &&
    [radius, hand].every((size) => isPixel(size) && (size as number) > 0) &&
    typeof exact === 'boolean' &&
    Object.keys(unknown).length === 0
  );
};
const corrections: Check = {
  expected: `a list of at most ${MOST_CORRECTIONS} corrections, each with kind (in, out or move), points [[x, y], …] (of move two), radius and hand in pixels above 0, and exact (true or false) if need be`,
  ok: (value) => isList(value, isCorrection) && (value as unknown[]).length <= MOST_CORRECTIONS,
};

function isLeftOut(value: unknown): boolean {
  if (typeof value !== 'object' || value === null || Object.keys(value).length !== 3) return false;
  const { from, to, reason } = value as Readonly<Record<string, unknown>>;
  return (
    [from, to].every((arc) => isNumber(arc) && arc >= 0) &&
    typeof reason === 'string' &&
    reason.trim() !== '' &&
    reason.length <= 200
  );
}

type Part = keyof AllSettings;
const CHECKS: { readonly [Name in Part]-?: Readonly<Record<keyof NonNullable<AllSettings[Name]>, Check>> } = {
  scan: {
    unit: oneOf(...Object.keys(MM_PER_UNIT)),
    holeLimit: share,
    thin: {
      expected: `a whole number of triangles, ${LEAST_THIN} or more`,
      ok: (value) => Number.isInteger(value) && (value as number) >= LEAST_THIN,
    },
  },
  trace: {
    axis: oneOf(...AXES),
    flipFace: flag,
    flipTip: flag,
    base: point,
    tip: point,
    nudgeAngle: number,
    nudgeShift: number,
    stations: {
      expected: 'a whole number from 21 to 2001',
      ok: (value) => Number.isInteger(value) && (value as number) >= 21 && (value as number) <= 2001,
    },
  },
  measure: {
    perimeterScale: positive,
    sinuosityScale: positive,
    turnBand: notNegative,
    edgeSpacing: positive,
    edgeInner: notNegative,
    edgeOuter: positive,
    edgeCap: share,
    mapCell: positive,
    humpProminence: notNegative,
    humpShare: share,
    humpFootprint: notNegative,
    humpRelief: notNegative,
    sectionStations: {
      expected: 'a list of at most 200 different percentages above 0 and below 100',
      ok: (value) =>
        isList(value, (item) => isNumber(item) && item > 0 && item < 100) &&
        (value as unknown[]).length <= 200 &&
        new Set(value as unknown[]).size === (value as unknown[]).length,
    },
    density: positive,
    mass: positive,
    breaks: {
      expected: 'a list of [from, to] in mm of arc length',
      ok: (value) =>
        isList(value, (item) => isList(item, isNumber) && (item as unknown[]).length === 2) &&
        (value as number[][]).every(([from, to]) => from >= 0 && to >= 0),
    },
    excluded: {
      expected:
        'a list of at most 200 {"from", "to", "reason"}: mm of arc length, and words (at most 200 letters) why',
      ok: (value) => isList(value, isLeftOut) && (value as unknown[]).length <= 200,
    },
  },
  photo: {
    method: oneOf('auto', 'mat', 'bar', 'points', 'tag', 'typed'),
    printedBar: positive,
    printedBarUncertainty: notNegative,
    block: positive,
    points: {
      expected: 'four numbers [x0, y0, x1, y1]',
      ok: (value) => isList(value, isNumber) && (value as unknown[]).length === 4,
    },
    length: positive,
    pxPerMm: positive,
    cameraDistance: positive,
    piece: {
      expected: 'a whole number, 1 or more',
      ok: (value) => Number.isInteger(value) && (value as number) >= 1,
    },
    thickness: positive,
    flipEdgeOn: flag,
    corrections,
    views: { expected: 'a list of views, each of B, left, right and tip at most once', ok: isViews },
  },
};

const VIEW_CHECKS: Readonly<Record<keyof ViewSettings, Check>> = {
  view: oneOf(...VIEWS),
  file: { expected: 'a name', ok: (value) => typeof value === 'string' && /^[\w-]{1,64}$/.test(value) },
  method: CHECKS.photo.method,
  printedBar: positive,
  printedBarUncertainty: notNegative,
  block: positive,
  points: CHECKS.photo.points,
  length: positive,
  pxPerMm: positive,
  cameraDistance: positive,
  piece: CHECKS.photo.piece,
  edge: {
    expected: 'at least two places [x, y, x, y …]',
    ok: (value) =>
      isList(value, isNumber) &&
      (value as unknown[]).length % 2 === 0 &&
      (value as unknown[]).length >= 4 &&
      (value as unknown[]).length <= 400,
  },
  corrections,
};

function isViews(value: unknown): boolean {
  const checks: Readonly<Record<string, Check>> = VIEW_CHECKS;
  if (!Array.isArray(value) || new Set(value.map((told) => told?.view)).size < value.length) return false;
  return value.every(
    (told) =>
      typeof told === 'object' &&
      told !== null &&
      told.view !== undefined &&
      Object.entries(told).every(([key, one]) => Object.hasOwn(VIEW_CHECKS, key) && checks[key].ok(one)),
  );
}

/**
 * Lays what a settings file or the command line asks for over the defaults.
 * Throws a RecordError that names the entry when one is unknown or its value can't be used.
 */
export function verifySettings(asked: unknown): AllSettings {
  const parts = verifyObject(asked, 'settings', Object.keys(CHECKS));
  const settings = {
    scan: { ...DEFAULT_SETTINGS.scan, ...verifyPart(parts, 'scan') },
    trace: { ...DEFAULT_SETTINGS.trace, ...verifyPart(parts, 'trace') },
    measure: { ...DEFAULT_SETTINGS.measure, ...verifyPart(parts, 'measure') },
    ...(parts.photo === undefined
      ? {}
      : { photo: { ...DEFAULT_PHOTO_SETTINGS, ...verifyPart(parts, 'photo') } }),
  };
  const { axis, base, tip } = settings.trace;
  if (axis === 'tip-base' && (base === undefined || tip === undefined)) {
    throw new RecordError('settings-incomplete', 'The axis tip-base needs both placed points, base and tip.');
  }
  if (settings.measure.edgeInner >= settings.measure.edgeOuter) {
    throw new RecordError('settings-value', 'measure.edgeInner must be less than measure.edgeOuter.');
  }
  return settings;
}

/** Reads the text of a settings file, or of a record, whose settings are then taken. */
export function readSettings(text: string): AllSettings {
  const asked = parseSettings(text);
  if (typeof asked === 'object' && asked !== null && 'format' in asked && asked.format === RECORD_FORMAT) {
    return verifySettings('settings' in asked ? asked.settings : undefined);
  }
  return verifySettings(asked);
}

export function parseSettings(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (cause) {
    throw new RecordError(
      'settings-json',
      `The settings are not JSON: ${clipped((cause as Error).message, 120)}.`,
    );
  }
}

function verifyPart<Name extends Part>(
  parts: Readonly<Record<string, unknown>>,
  part: Name,
): Partial<NonNullable<AllSettings[Name]>> {
  if (parts[part] === undefined) return {};
  const checks: Readonly<Record<string, Check>> = CHECKS[part];
  const asked = verifyObject(parts[part], part, Object.keys(checks));
  for (const [key, value] of Object.entries(asked)) {
    if (!checks[key].ok(value)) {
      throw new RecordError(
        'settings-value',
        `${part}.${key} must be ${checks[key].expected}; got ${shown(value)}.`,
      );
    }
  }
  return asked as Partial<NonNullable<AllSettings[Name]>>;
}

/** An object with none but the known keys; own keys only, so that `__proto__` is as unknown as any other. */
function verifyObject(value: unknown, name: string, known: readonly string[]): Record<string, unknown> {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    throw new RecordError('settings-shape', `${name} must be an object; got ${shown(value)}.`);
  }
  const unknown = Object.keys(value).filter((key) => !known.includes(key));
  if (unknown.length > 0) {
    const names = clipped(unknown.map((key) => JSON.stringify(key)).join(', '), 120);
    throw new RecordError('settings-unknown', `${name} has no ${names}; it knows ${known.join(', ')}.`);
  }
  return value as Record<string, unknown>;
}
