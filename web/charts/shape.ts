/**
 * Drawings as data: what a chart draws, before anything has drawn it. Attribute names are those of the DOM properties
 * (`strokeWidth`, `className`), so that a screen can render them and a test can read them.
 */
export interface Shape {
  readonly tag: string;
  readonly props: Readonly<Record<string, ShapeProp>>;
  readonly children?: readonly (Shape | string)[];
}
type ShapeProp = string | number | Readonly<Record<string, string | number>>;

type Props = Readonly<Record<string, ShapeProp>>;

/** One decimal of a pixel is finer than any screen shows. */
export const px = (value: number): number => Math.round(value * 10) / 10;

export const shape = (tag: string, props: Props, children?: readonly (Shape | string)[]): Shape =>
  children === undefined ? { tag, props } : { tag, props, children };

export const path = (className: string, d: string, more: Props = {}): Shape => shape('path', { className, d, ...more });

export const rect = (className: string, x: number, y: number, width: number, height: number, more: Props = {}): Shape =>
  shape('rect', {
    className,
    x: px(x),
    y: px(y),
    width: px(Math.max(0, width)),
    height: px(Math.max(0, height)),
    ...more,
  });

export const circle = (className: string, cx: number, cy: number, r: number, more: Props = {}): Shape =>
  shape('circle', { className, cx: px(cx), cy: px(cy), r, ...more });

export const text = (className: string, x: number, y: number, content: string, more: Props = {}): Shape =>
  shape('text', { className, x: px(x), y: px(y), ...more }, [content]);

export const group = (children: readonly Shape[], props: Props = {}): Shape => shape('g', props, children);

/** A polyline through the points, with a break wherever one is missing (NaN). */
export const lineThrough = (xs: ArrayLike<number>, ys: ArrayLike<number>): string => {
  let d = '';
  let drawing = false;
  for (let i = 0; i < xs.length; i++) {
    const x = xs[i]!;
    const y = ys[i]!;
    if (!Number.isFinite(x) || !Number.isFinite(y)) {
      drawing = false;
      continue;
    }
    d += `${drawing ? 'L' : 'M'}${px(x)} ${px(y)}`;
    drawing = true;
  }
  return d;
};

/** The closed area between two curves over the same places. */
export const areaBetween = (xs: ArrayLike<number>, lower: ArrayLike<number>, upper: ArrayLike<number>): string => {
  if (xs.length < 2) return '';
  let d = '';
  for (let i = 0; i < xs.length; i++) d += `${i === 0 ? 'M' : 'L'}${px(xs[i]!)} ${px(lower[i]!)}`;
  for (let i = xs.length - 1; i >= 0; i--) d += `L${px(xs[i]!)} ${px(upper[i]!)}`;
  return `${d}z`;
};

/** Every shape inside a drawing, outermost first. */
export const flatten = (shapes: readonly Shape[]): Shape[] =>
  shapes.flatMap((one) => [
    one,
    ...flatten((one.children ?? []).filter((child): child is Shape => typeof child !== 'string')),
  ]);
