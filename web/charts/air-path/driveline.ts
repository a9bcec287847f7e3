/** Clutch, gearbox, shafts and the driven axles. Undriven wheels carry no power and are not drawn. */
import { circle, path, rect, type Shape } from '../shape.ts';
import type { AirPathPlan } from './plan.ts';

const wheel = (axle: number, y: number): Shape[] => [
  rect('of', axle - 43, y, 86, 56, { rx: 15 }),
  path('d', [-31, -17, -3, 11, 25].map((x) => `M${axle + x} ${y + 6}l6 22l-6 22`).join('')),
];

const axleShapes = (axle: number): Shape[] => [
  path('cl', `M${axle} 22V474`),
  path('of', `M${axle - 5} 92h10v312h-10z`),
  circle('of', axle, 264, 28),
  circle('d', axle, 264, 17),
  path('d', `M${axle - 17} 264h34M${axle} 247v34`),
  ...wheel(axle, 38),
  ...wheel(axle, 402),
];

const propShaft = (from: number, to: number): Shape[] => [
  path('cl', `M${from - 10} 264H${to + 10}`),
  path('of', `M${from + 5} 258H${to - 5}V270H${from + 5}z`),
  circle('of', from, 264, 7.5),
  circle('of', to, 264, 7.5),
];

export const drivelineShapes = ({ driveline, car }: AirPathPlan): Shape[] => {
  const [first, second] = driveline.axles;
  const shapes: Shape[] = [
    path('of', 'M876 214h9v100h-9zM889 220h7v88h-7z'),
    path('o', 'M868 258h8M868 270h8'),
    path('of', 'M900 214L922 222L934 232H1012V296H934L922 306L900 314z'),
    path('d', 'M934 232v64M948 244h50M948 284h50'),
    rect('df', 947, 254, 10, 20),
    rect('df', 961, 251, 10, 26),
    rect('df', 975, 248, 10, 32),
    rect('df', 988, 252, 10, 24),
  ];
  if (car.driven === 'rear') shapes.push(...propShaft(1019, 1145));
  else shapes.push(path('of', 'M1012 244L1060 250V278L1012 284z'));
  if (first !== undefined) shapes.push(...axleShapes(first));
  if (first !== undefined && second !== undefined)
    shapes.push(...propShaft(first + 35, second - 35), ...axleShapes(second));
  return shapes;
};
