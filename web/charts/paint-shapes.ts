/** Drawings given as data, put on a canvas: for what moves with every frame. The same classes mean the same as on the page. */
import type { Ink, InkName } from './ink.ts';
import type { Shape } from './shape.ts';

interface Look {
  readonly fill?: InkName;
  readonly stroke?: InkName;
  readonly width?: number;
  /** Size [px of the sheet] and weight of writing. */
  readonly size?: number;
  readonly weight?: number;
}

/** What `drawing.css` has too is the same here. */
const LOOKS: Readonly<Record<string, Look>> = {
  hair: { stroke: 'accent', width: 1.75 },
  tick: { stroke: 'ink', width: 1.25 },
  edgebg: { fill: 'panel' },
  edgeline: { stroke: 'ink', width: 1.5 },
  'rul m': { fill: 'ink', size: 15, weight: 600 },
  cursor: { fill: 'film', stroke: 'accent', width: 2.5 },
  curval: { fill: 'ink', size: 22, weight: 700 },
  'curval second': { fill: 'ink', size: 15, weight: 700 },
  arrow: { fill: 'accent' },
  'logl thin': { stroke: 'ink', width: 1.75 },
  bracket: { stroke: 'ink', width: 1.5 },
  'bracket on': { stroke: 'ink', width: 3 },
  'ov-window': { fill: 'panel' },
  'ov-edge': { stroke: 'ink', width: 1.5 },
  'pennant line': { stroke: 'ink', width: 2 },
  'pennant flag': { fill: 'ink' },
  'pennant letter': { fill: 'film', size: 14, weight: 700 },
  'pennant sel line': { stroke: 'accent', width: 2 },
  'pennant sel flag': { fill: 'accent' },
  'pennant sel letter': { fill: 'accentInk', size: 14, weight: 700 },
};

const outlineOf = ({ tag, props }: Shape): Path2D => {
  if (tag === 'path') return new Path2D(String(props.d));
  const path = new Path2D();
  const [x, y, width, height] = [props.x, props.y, props.width, props.height].map(Number) as [
    number,
    number,
    number,
    number,
  ];
  if (props.rx === undefined) path.rect(x, y, width, height);
  else path.roundRect(x, y, width, height, Number(props.rx));
  return path;
};

/** Paths, boxes and writing of the classes above. @throws RangeError on any other, which would be drawn by guesswork */
export const paintShapes = (pen: CanvasRenderingContext2D, shapes: readonly Shape[], ink: Ink, ratio: number): void => {
  pen.save();
  pen.scale(ratio, ratio);
  pen.lineJoin = 'round';
  pen.textAlign = 'center';
  pen.textBaseline = 'alphabetic';
  for (const shape of shapes) {
    const look = LOOKS[String(shape.props.className)];
    if (!look || !['path', 'rect', 'text'].includes(shape.tag)) {
      throw new RangeError(`no look is known for the ${shape.tag} "${shape.props.className}"`);
    }
    if (look.fill) pen.fillStyle = ink[look.fill];
    if (shape.tag === 'text') {
      pen.font = `${look.weight} ${look.size}px "IBM Plex Sans", "Helvetica Neue", Arial, sans-serif`;
      pen.fillText(String(shape.children?.[0] ?? ''), Number(shape.props.x), Number(shape.props.y));
      continue;
    }
    const outline = outlineOf(shape);
    if (look.fill) pen.fill(outline);
    if (look.stroke) {
      pen.strokeStyle = ink[look.stroke];
      pen.lineWidth = look.width ?? 1;
      pen.stroke(outline);
    }
  }
  pen.restore();
};
