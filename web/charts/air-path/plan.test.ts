/** The plan follows the car: checked for every mix of facts the drawing knows (house rules of the drawing, no outside source). */
import { describe, expect, it } from 'vitest';
import { flatten } from '../shape.ts';
import { airPathShapes } from './drawing.ts';
import { type CarShape, PLAN_HEIGHT, PLAN_WIDTH, planOf, STATION_WIDTH } from './plan.ts';

const base: CarShape = {
  cylinders: 4,
  layout: 'inline',
  driven: 'rear',
  throttled: true,
  injection: false,
  airflowMeter: false,
  pressureSensor: true,
  boostGauge: false,
  wideband: false,
};

const cars: CarShape[] = [3, 4, 5, 6, 8].flatMap((cylinders) =>
  (['inline', 'vee', 'flat'] as const)
    .filter((layout) => layout === 'inline' || cylinders % 2 === 0)
    .flatMap((layout) =>
      (['front', 'rear', 'all'] as const).flatMap((driven) =>
        [true, false].map((equipped) => ({
          ...base,
          cylinders,
          layout,
          driven,
          injection: equipped,
          airflowMeter: equipped,
          wideband: equipped,
        })),
      ),
    ),
);

interface Box {
  readonly name: string;
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** Parts that no row of the ledger stands for: a name without a bar. */
const NAME_ONLY = ['filter', 'throttle', 'exhaust', 'final-drive'];

/** Room that names and readings take: a balloon with its bar and words, a station with its rows. */
const boxesOf = (car: CarShape): Box[] => {
  const plan = planOf(car);
  return [
    ...plan.parts.flatMap(({ id, label, oneLine }) =>
      label === null
        ? []
        : [
            NAME_ONLY.includes(id)
              ? { name: id, left: label[0] - 8, top: label[1] - 8, right: label[0] + 75, bottom: label[1] + 8 }
              : oneLine
                ? { name: id, left: label[0] - 12, top: label[1] - 12, right: label[0] + 236, bottom: label[1] + 14 }
                : { name: id, left: label[0] - 12, top: label[1] - 14, right: label[0] + 154, bottom: label[1] + 26 },
          ],
    ),
    ...plan.stations.map(({ id, x, y, wider = 0 }) => ({
      name: id,
      left: x,
      top: y - 12,
      right: x + STATION_WIDTH + wider,
      bottom: y + (id === 'across-cooler' ? 30 : 70),
    })),
  ];
};

describe.each(cars)('$cylinders cylinders, $layout, $driven wheels driven, injection $injection', (car) => {
  it('draws a bore and an intake runner for every cylinder', () => {
    const plan = planOf(car);
    expect(plan.engine.bores).toHaveLength(car.cylinders);
    for (const { x, y, r } of plan.engine.bores) {
      expect(x - r).toBeGreaterThanOrEqual(604);
      expect(x + r).toBeLessThanOrEqual(868);
      expect(y - r).toBeGreaterThanOrEqual(206);
      expect(y + r).toBeLessThanOrEqual(322);
    }
    const runners = flatten(airPathShapes(plan)).filter(
      ({ props }) => props.className === 'pb air' && /^M[\d.]+ 124V206$/.test(String(props.d)),
    );
    expect(runners).toHaveLength(car.cylinders);
  });

  it('keeps bores of one bank apart', () => {
    const { bores } = planOf(car).engine;
    for (const [i, one] of bores.entries()) {
      for (const other of bores.slice(i + 1)) {
        expect(Math.hypot(one.x - other.x, one.y - other.y)).toBeGreaterThan(one.r + other.r - 0.01);
      }
    }
  });

  it('gives no place to what the car has not', () => {
    const ids = planOf(car).parts.map(({ id }) => id);
    expect(ids.includes('injection')).toBe(car.injection);
    expect(ids.includes('meter')).toBe(car.airflowMeter);
    expect(ids.includes('wideband')).toBe(car.wideband);
    const wet = flatten(airPathShapes(planOf(car))).some(({ props }) => String(props.className).includes('wet'));
    expect(wet).toBe(car.injection);
  });

  it('writes inside the drawing, and nothing over anything else', () => {
    const boxes = boxesOf(car);
    for (const box of boxes) {
      expect(box.left, box.name).toBeGreaterThanOrEqual(0);
      expect(box.top, box.name).toBeGreaterThanOrEqual(0);
      expect(box.right, box.name).toBeLessThanOrEqual(PLAN_WIDTH);
      expect(box.bottom, box.name).toBeLessThanOrEqual(PLAN_HEIGHT);
    }
    const touching = boxes.flatMap((one, i) =>
      boxes
        .slice(i + 1)
        .filter((two) => one.left < two.right && two.left < one.right && one.top < two.bottom && two.top < one.bottom)
        .map((two) => `${one.name} and ${two.name}`),
    );
    expect(touching).toEqual([]);
  });

  it('drives as many axles as the car does', () => {
    expect(planOf(car).driveline.axles).toHaveLength(car.driven === 'all' ? 2 : 1);
  });
});

describe('stations', () => {
  it('follow parts that the plan has, or the throttle that every spark engine has', () => {
    const plan = planOf(base);
    const ids = plan.parts.map(({ id }) => id);
    for (const { after } of plan.stations) expect(ids).toContain(after);
  });
});
