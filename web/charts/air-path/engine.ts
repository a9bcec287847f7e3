/** Block, bores, fuel rail and injectors for three to twelve cylinders, in line, vee or flat. */
import { circle, path, px, rect, type Shape } from '../shape.ts';
import { type AirPathPlan, BLOCK } from './plan.ts';

const bore = (x: number, y: number, r: number): Shape[] => [
  circle('of', x, y, r),
  circle('d', x, y, px(r * 0.84)),
  path('cl bore', `M${px(x - r * 1.3)} ${y}h${px(r * 2.6)}M${px(x)} ${px(y - r * 1.3)}v${px(r * 2.6)}`),
];

export const blockShapes = ({ engine, car }: AirPathPlan): Shape[] => {
  const { left, right, top, bottom, middle } = BLOCK;
  const shapes: Shape[] = [
    rect('of', left, top, right - left, bottom - top, { rx: 4 }),
    path('d', `M${left} ${top + 12}H${right}M${left} ${bottom - 12}H${right}`),
  ];
  if (car.layout === 'vee') shapes.push(path('d', `M${left} ${middle - 3}H${right}M${left} ${middle + 3}H${right}`));
  if (car.layout === 'flat') shapes.push(rect('d', left + 10, middle - 4, right - left - 20, 8, { rx: 3 }));
  return [...shapes, ...engine.bores.flatMap(({ x, y, r }) => bore(x, y, r))];
};

export const injectorShapes = ({ engine, driveline }: AirPathPlan): Shape[] => {
  const wide = Math.min(12, engine.pitch * 0.34);
  const tank = driveline.tankX;
  const line = `M${tank + 38} 140V170H872`;
  return [
    path('pw', line, { strokeWidth: 9.5 }),
    path('pb fuel', line, { strokeWidth: 5 }),
    rect('o ti-fuel', 616, 163, 256, 13, { rx: 3 }),
    ...engine.bores.map(({ x }) =>
      path(
        'of ti-fuel',
        `M${px(x - wide / 2)} 174h${px(wide)}v11h${px(-wide / 4)}v8h${px(-wide / 2)}v-8h${px(-wide / 4)}z`,
      ),
    ),
    path('o ti-fuel', `M${tank} 82h100v68h-100z`),
    path('d', `M${tank} 102h100`, { strokeDasharray: '9 4' }),
    path('o', `M${tank + 78} 82v-8h14v8`),
    circle('of', tank + 38, 126, 13),
    path('ink', `M${tank + 38} 139l-8 -13h16z`),
    ...Array.from({ length: Math.max(2, Math.floor((tank + 20 - 912) / 14)) }, (_, i) =>
      circle('fl dot fuel', 916 + i * 14, 170, 1.5),
    ),
  ];
};
