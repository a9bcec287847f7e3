/** The edge of the sheet as a scale: graduations along the bottom border, and the cursor that stands on it. */

import { multiples, type Scale } from './scale.ts';
import { path, px, rect, type Shape, text } from './shape.ts';

export interface EdgeSteps {
  readonly minor: number;
  readonly mid: number;
  readonly major: number;
}

/** Graduations hanging from `y`. */
export const edgeTicks = (scale: Scale, y: number, steps: EdgeSteps): Shape => {
  const onStep = (value: number, step: number) => Math.abs(value / step - Math.round(value / step)) < 1e-6;
  let d = '';
  for (const value of multiples(scale.from, scale.to, steps.minor)) {
    const length = onStep(value, steps.major) ? 18 : onStep(value, steps.mid) ? 12 : 7;
    d += `M${px(scale.at(value))} ${y}v${length}`;
  }
  return path('tick', d);
};

/** Figures below the graduations, every so many units; none under the cursor. */
export const edgeFigures = (
  scale: Scale,
  y: number,
  height: number,
  every: number,
  write: (value: number) => string,
  cursor: { readonly at: number; readonly halfWidth: number },
): Shape[] =>
  multiples(scale.from, scale.to, every)
    .filter((value) => Math.abs(scale.at(value) - cursor.at) > cursor.halfWidth)
    .map((value) => text('rul m', scale.at(value), y + Math.min(41, height - 13), write(value)));

/** The bare edge: its ground and the line it hangs from. */
export const edgeGround = (width: number, y: number, height: number): Shape[] => [
  rect('edgebg', 0, y, width, height),
  path('edgeline', `M0 ${y}H${px(width)}`),
];

/** Middle of a cursor box `width` wide that stands at `x` and stays on the sheet. */
export const cursorMiddle = (
  x: number,
  bounds: { readonly from: number; readonly to: number },
  width: number,
): number => Math.min(bounds.to - width / 2 - 2, Math.max(bounds.from + width / 2 + 2, x));

/** The slide-rule cursor at `x`, with one or two lines of figures. */
export const edgeCursor = (
  x: number,
  y: number,
  height: number,
  figure: string,
  second: string | undefined,
  bounds: { readonly from: number; readonly to: number },
  width = 100,
): Shape[] => {
  const half = width / 2;
  // Near the ends the box stays on the sheet and the hairline leaves its middle.
  const middle = cursorMiddle(x, bounds, width);
  const shapes: Shape[] = [
    rect('cursor', middle - half, y + 2, width, height - 4, { rx: 2 }),
    path('hair', `M${px(x)} ${y + 2}v8`),
    text('curval', middle, y + (second === undefined ? height / 2 + 8 : height / 2 - 1), figure),
  ];
  if (second !== undefined) shapes.push(text('curval second', middle, y + height / 2 + 18, second));
  if (middle - half - 18 > bounds.from)
    shapes.push(path('arrow', `M${px(middle - half - 10)} ${px(y + height / 2)}l-8 -7v14z`));
  if (middle + half + 18 < bounds.to)
    shapes.push(path('arrow', `M${px(middle + half + 10)} ${px(y + height / 2)}l8 -7v14z`));
  return shapes;
};
