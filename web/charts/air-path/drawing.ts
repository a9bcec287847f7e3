/** The line drawing of the car's flow, from its plan. Back to front: centre lines, pipes, parts, flow marks. */
import { circle, group, path, px, rect, type Shape } from '../shape.ts';
import { drivelineShapes } from './driveline.ts';
import { blockShapes, injectorShapes } from './engine.ts';
import { type AirPathPlan, BLOCK, type Medium } from './plan.ts';
import { turboShapes } from './turbo.ts';

interface Pipe {
  readonly d: string;
  readonly bore: number;
  readonly medium: Medium;
}

/** All walls first, then all bores, so that pipes that meet flow into each other. */
const pipeShapes = (pipes: readonly Pipe[]): Shape[] => [
  ...pipes.map(({ d, bore }) => path('pw', d, { strokeWidth: bore + 4.5 })),
  ...pipes.map(({ d, bore, medium }) => path(`pb ${medium}`, d, { strokeWidth: bore })),
];

const chevron = (x: number, y: number, turn: number): Shape =>
  path('fl air', 'M-3.5 -4.5L2.5 0L-3.5 4.5', { transform: `translate(${x} ${y}) rotate(${turn})` });
const doubleChevron = (x: number, y: number, turn: number): Shape =>
  path('fl hot', 'M-6.5 -4.5L-.5 0L-6.5 4.5M0 -4.5L6 0L0 4.5', { transform: `translate(${x} ${y}) rotate(${turn})` });
const dots = (medium: 'fuel' | 'wet', places: readonly (readonly [number, number])[]): Shape[] =>
  places.map(([x, y]) => circle(`fl dot ${medium}`, x, y, 1.7));

const bendOf = (pitch: number) => Math.min(30, pitch * 0.55);

const pipesOf = ({ engine, car }: AirPathPlan): Pipe[] => {
  const runner = Math.max(6, Math.min(13, engine.pitch * 0.22));
  const bend = bendOf(engine.pitch);
  const toBlock = engine.bores.map(({ x }): Pipe => ({ d: `M${px(x)} 124V${BLOCK.top}`, bore: runner, medium: 'air' }));
  const fromBlock = engine.bores
    .filter(({ bank }) => bank === 1)
    .map(
      ({ x }): Pipe => ({
        d: `M${px(x)} ${BLOCK.bottom}V350Q${px(x)} 388 ${px(x - bend)} 388`,
        bore: runner,
        medium: 'hot',
      }),
    );
  // The far bank of a vee or a flat engine leaves at the nose and comes round to the same manifold.
  const farBank: Pipe[] =
    car.layout === 'inline' ? [] : [{ d: 'M606 236H598Q586 236 586 248V388', bore: 11, medium: 'hot' }];
  return [
    { d: 'M104 112H606', bore: 22, medium: 'air' },
    { d: 'M346 390V352Q346 336 330 336H104', bore: 20, medium: 'air' },
    { d: 'M252 444H328', bore: 24, medium: 'air' },
    ...toBlock,
    { d: `M${BLOCK.right} 388H418`, bore: 20, medium: 'hot' },
    { d: 'M432 444H1000', bore: 24, medium: 'hot' },
    { d: 'M556 388V444', bore: 12, medium: 'hot' },
    ...farBank,
    ...fromBlock,
  ];
};

const coolerShapes = (): Shape[] => {
  const fins = [52, 62.5, 73, 83.5].map((x) => `M${x} 134${'l10.5 7.5l-10.5 7.5'.repeat(12)}`).join('');
  return [
    rect('o ti-air', 40, 94, 66, 36, { rx: 6 }),
    rect('o ti-air', 40, 318, 66, 36, { rx: 6 }),
    rect('of', 46, 130, 54, 188),
    path('fin', fins),
    path('d', [52, 62.5, 73, 83.5, 94].map((x) => `M${x} 130V318`).join('')),
    ...[168, 224, 280].map((y) => chevron(24, y, 0)),
    rect('ti-air', 100, 101, 12, 22),
    rect('ti-air', 100, 326, 12, 20),
  ];
};

const filterShapes = (): Shape[] => [
  path('of', 'M200 406L254 426V462L200 482z'),
  path('d', 'M207 411.6V476.4M215 414.6V473.4M223 417.5V470.5M231 420.5V467.5M239 423.4V464.6M247 426.4V461.6'),
  path('o thick', 'M200 404V484'),
];

const meterShapes = (): Shape[] => [
  rect('of', 262, 427, 20, 34, { rx: 2 }),
  path('d', 'M266 444h12M272 427v12M272 461v-12'),
  circle('df', 272, 444, 4),
];

const intakeShapes = ({ car, engine }: AirPathPlan): Shape[] => {
  const mouth = Math.max(6, Math.min(13, engine.pitch * 0.22));
  const shapes: Shape[] = [
    path('o ti-air', 'M606 96H848Q866 96 866 112Q866 130 848 130H624Q606 130 606 118z'),
    ...engine.bores.map(({ x }) => rect('ti-air', x - mouth / 2, 126, mouth, 10)),
  ];
  if (car.throttled) {
    shapes.push(
      rect('o ti-air', 568, 97, 38, 30),
      path('o', 'M577 125L597 99M568 94v36M606 94v36'),
      circle('ink', 587, 112, 3.5),
    );
  } else shapes.push(rect('ti-air', 600, 101, 12, 22));
  if (car.pressureSensor || car.boostGauge) {
    shapes.push(path('of', 'M610 130h9v6h4v14h-17v-14h4z'));
    if (!car.pressureSensor) shapes.push(circle('df', 614.5, 146, 7));
  }
  return shapes;
};

const injectionShapes = (): Shape[] => [
  ...pipeShapes([{ d: 'M534 46H556V100', bore: 4, medium: 'wet' }]),
  path('o ti-wet', 'M478 26H518V66H478z'),
  path('d', 'M478 38H518', { strokeDasharray: '7 4' }),
  circle('of', 535, 46, 11),
  path('ink', 'M546 46l-11.5 -6.5v13z'),
  path('of', 'M549 96h14v7l-4 7h-6l-4-7z'),
  ...dots('wet', [
    [551, 114],
    [556, 117],
    [561, 114],
    [546, 119],
    [566, 119],
    [556, 62],
    [556, 74],
    [556, 86],
  ]),
];

const exhaustShapes = ({ car }: AirPathPlan): Shape[] => [
  circle('of', 556, 416, 14),
  path('d', 'M548 422h16M551.5 422l3-6h3l3 6M556 416v-8'),
  path('o', 'M570 416h12'),
  path('of', 'M582 404h11l8 6v12l-8 6h-11z'),
  path('d', 'M593 404v24'),
  rect('of', 848, 421, 112, 46, { rx: 16 }),
  path('d', 'M868 432h72M868 444h72M868 456h72', { strokeDasharray: '3 6' }),
  ...(car.wideband ? [path('of', 'M822 458h14v6h-3v10h-8v-10h-3z')] : []),
  path('fl hot', 'M1008 444h22M1023 438l8 6l-8 6'),
];

const flowMarks = ({ engine, car }: AirPathPlan): Shape[] => [
  ...[232, 334, 436].map((x) => chevron(x, 112, 0)),
  chevron(190, 336, 180),
  chevron(258, 336, 180),
  chevron(312, 444, 0),
  ...engine.bores.map(({ x }) => chevron(x, 150, 90)),
  doubleChevron(484, 388, 180),
  doubleChevron(614, 388, 180),
  ...[500, 716, 786].map((x) => doubleChevron(x, 444, 0)),
  ...(car.layout === 'inline' ? [] : [doubleChevron(586, 330, 90)]),
];

/** The whole drawing, without names and readings. */
export const airPathShapes = (plan: AirPathPlan): Shape[] => [
  path('cl', 'M590 264H1040M282 444H500'),
  ...pipeShapes(pipesOf(plan)),
  path('o', `M${BLOCK.right + 0.5} 376V400M1000 430V458`),
  ...coolerShapes(),
  ...filterShapes(),
  ...(plan.car.airflowMeter ? meterShapes() : []),
  ...turboShapes(),
  ...exhaustShapes(plan),
  ...intakeShapes(plan),
  ...blockShapes(plan),
  ...injectorShapes(plan),
  ...(plan.car.injection ? injectionShapes() : []),
  group(drivelineShapes(plan)),
  ...flowMarks(plan),
];

/** A tapping where a station reads. */
export const tapShape = (x: number, y: number): Shape => circle('tap', x, y, 4.2);
export { dots, pipeShapes };
