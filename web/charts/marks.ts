/** The marks of the sheet: walls, demand bars, whiskers, agreement strips and marks of source. */
import { circle, group, path, px, rect, type Shape, shape, text } from './shape.ts';

/** Hatching on the forbidden side of a limit: to the right of `x`, from `top` to `bottom`. */
export const wallRight = (x: number, top: number, bottom: number, step = 5.5, reach = 6): Shape[] => {
  let d = '';
  for (let y = top + reach * 0.8; y <= bottom + 0.01; y += step) d += `M${px(x)} ${px(y)}l${reach} ${px(-reach * 0.8)}`;
  return [path('wall-h', d), path('wall', `M${px(x)} ${px(top)}V${px(bottom)}`)];
};

export interface HeadroomMark {
  /** Share of the limit that is used: 1 is at the wall. */
  readonly p10: number;
  readonly p50: number;
  readonly p90: number;
  /** Share used in the laid-on pull, when its channel was logged. */
  readonly logged?: number;
  /** Highest share over all engine speeds. */
  readonly worst?: number;
}

/** How much a part has left, in words: "17 ±4 %", or "over 4 ±9 %" past the wall. */
export const leftInWords = (mark: HeadroomMark): string => {
  const used = mark.logged ?? mark.p50;
  const left = Math.round((1 - used) * 100);
  const spread = Math.round(((mark.p90 - mark.p10) / 2) * 100);
  return left < 0 ? `over ${-left} ±${spread} %` : `${left} ±${spread} %`;
};

/** Plain: room. Tight: the whisker touches the wall. Over: past it. */
export const standing = (mark: HeadroomMark): 'room' | 'tight' | 'over' => {
  const used = mark.logged ?? mark.p50;
  if (used > 1) return 'over';
  return used + (mark.p90 - mark.p50) >= 1 ? 'tight' : 'room';
};

interface BarPlace {
  readonly x: number;
  readonly y: number;
  /** Width at 100 % of what the part carries. */
  readonly full: number;
  readonly height: number;
  /** Widest the bar may grow past the wall. */
  readonly most: number;
}

/** A demand bar against its wall, with whisker: hollow is predicted, filled is logged. */
export const headroomBar = (mark: HeadroomMark, place: BarPlace): Shape[] => {
  const { x, y, full, height, most } = place;
  const wide = (share: number) => Math.max(0, Math.min(most, share * full));
  const state = standing(mark);
  const shapes: Shape[] = [...wallRight(x + full, y - 1, y + height + 1)];
  const predictedWide = wide(mark.p50);
  const used = mark.logged ?? mark.p50;
  const fill =
    state === 'over' ? 'bar-over' : state === 'tight' ? 'bar-tight' : mark.logged === undefined ? 'bar-none' : 'barf';
  if (mark.logged !== undefined) shapes.push(rect('bandbox thin', x, y, predictedWide, height));
  shapes.push(
    rect(
      `${fill} ${mark.logged === undefined || state !== 'room' ? 'baro' : ''} ${state}`,
      x + 0.75,
      y + 2.5,
      wide(used) - 0.75,
      height - 5,
    ),
  );
  const low = x + wide(used - (mark.p50 - mark.p10));
  const high = x + Math.min(most + 8, Math.max(0, (used + mark.p90 - mark.p50) * full));
  const middle = y + height / 2;
  shapes.push(
    path('whb', `M${px(low)} ${px(middle)}H${px(high)}`),
    path(
      'wh',
      `M${px(low)} ${px(middle)}H${px(high)}M${px(low)} ${px(middle - 3.5)}v7M${px(high)} ${px(middle - 3.5)}v7`,
    ),
  );
  if (mark.worst !== undefined) {
    const at = x + Math.min(most, Math.max(0, mark.worst * full));
    shapes.push(path('worst', `M${px(at - 4.5)} ${px(y + height + 6.5)}h9l-4.5 -6.5z`));
  }
  return shapes;
};

/** Predicted box and logged dot on a line of `width`: the dot outside the box is the thing to chase. */
export const agreementStrip = (
  band: { p10: number; p50: number; p90: number },
  logged: number | undefined,
  x: number,
  y: number,
  width: number,
): Shape[] => {
  const half = Math.max((band.p90 - band.p10) / 2, Math.abs(band.p50) * 1e-4, 1e-12);
  // A box is half the strip wide; what lies further out than one and a half boxes stands at the end.
  const perUnit = width / 4 / 1.25 / half;
  const middle = x + width / 2;
  const box = half * perUnit;
  const shapes = [path('base', `M${px(x)} ${px(y)}h${px(width)}`), rect('bandbox', middle - box, y - 5, 2 * box, 10)];
  if (logged === undefined) shapes.push(path('predl', `M${px(middle)} ${px(y - 5)}v10`));
  else {
    const off = Math.max(-width / 2 + 4, Math.min(width / 2 - 4, (logged - band.p50) * perUnit));
    shapes.push(circle('dotl', middle + off, y, 3.9));
  }
  return shapes;
};

export type SourceName = 'logged' | 'measured' | 'data-sheet' | 'estimate';
export const SOURCE_WORDS: Readonly<Record<SourceName, string>> = {
  logged: 'logged',
  measured: 'measured',
  'data-sheet': 'data sheet',
  estimate: 'estimate',
};

const SOURCE_PATHS: Readonly<Record<Exclude<SourceName, 'logged'>, string>> = {
  measured: 'M1 1v8M9 1v8M1 5h8',
  'data-sheet': 'M2 .8h6v8.4H2zM4 3.6h2M4 6h2',
  estimate: 'M.6 3.9C2 2 3.6 2 5 3.3S8 4.6 9.4 2.7M.6 7.7C2 5.8 3.6 5.8 5 7.1S8 8.4 9.4 6.5',
};

/** Disc, calliper, page or double wave, inside a 10 by 10 box. */
export const sourceGlyph = (source: SourceName): Shape =>
  source === 'logged'
    ? circle('src-disc', 5, 5, 3.9)
    : shape('path', { className: 'src-line', d: SOURCE_PATHS[source] });

/** The mark of a source inside a larger drawing. */
export const sourceMark = (source: SourceName, x: number, y: number, size: number): Shape =>
  group([sourceGlyph(source)], { transform: `translate(${px(x)} ${px(y)}) scale(${size / 10})` });

/** A part's number in its balloon. */
export const balloon = (number: number, x: number, y: number): Shape[] => [
  circle('df', x, y, 11.5),
  text('num', x, y + 4.5, String(number)),
];

/** A pennant with a letter, standing on a bracket from `from` to `to`. */
export const pennant = (
  letter: string,
  from: number,
  to: number,
  y: number,
  selected: boolean,
  flagAt = from,
): Shape[] => {
  const tone = selected ? 'pennant sel' : 'pennant';
  const flag = Math.max(flagAt, 27);
  return [
    path(`${tone} line`, `M${px(from)} ${px(y + 11)}V${px(y + 1)}H${px(Math.max(to, from + 2))}v10`),
    path(`${tone} flag`, `M${px(flag)} ${px(y)}h-26l6 10-6 10h26z`),
    text(`${tone} letter`, flag - 10, y + 15, letter),
  ];
};

/** Patterns that bars and forbidden areas are filled with; once per page. */
export const hatchPatterns = (): Shape[] => {
  const pattern = (id: string, size: number, children: Shape[]) =>
    shape(
      'pattern',
      { id, width: size, height: size, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' },
      children,
    );
  return [
    pattern('tight', 5, [rect('pat-film', 0, 0, 5, 5), path('pat-tight', 'M0 0V5')]),
    pattern('over', 5.5, [rect('pat-film', 0, 0, 5.5, 5.5), path('pat-over', 'M0 0V5.5M0 0H5.5')]),
    pattern('forbidden', 11, [path('pat-no', 'M0 0V11')]),
  ];
};
