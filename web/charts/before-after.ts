/** Torque and power before (thin) and after a change, over engine speed. */

import { lineThrough, path, type Shape } from './shape.ts';
import { type CurvePlace, curveScales, type TorquePower, torquePowerShapes } from './torque-power.ts';

export interface BeforeAfter {
  readonly beforeRpm: readonly number[];
  readonly beforeTorque: readonly number[];
  readonly beforePower: readonly number[];
  readonly afterRpm: readonly number[];
  readonly afterTorque: readonly number[];
  readonly afterPower: readonly number[];
  readonly torqueUnit: string;
  readonly powerUnit: string;
  readonly revLimitRpm: number;
}

/** How much taller than the curve before the axis is, so that it stands still while a slider is dragged. */
const ROOM = 1.25;

/** The curve after as the drawing of torque and power knows it. */
export const afterCurve = (data: BeforeAfter): TorquePower => {
  const plain = (values: readonly number[]) => ({ low: values, middle: values, high: values });
  const room = (values: readonly number[]) => ({
    engineSpeedRpm: [],
    values: [ROOM * values.reduce((high, value) => Math.max(high, value), 0)],
  });
  return {
    engineSpeedRpm: data.afterRpm,
    torque: plain(data.afterTorque),
    power: plain(data.afterPower),
    // Draws nothing (no place along), only holds the axis.
    loggedTorque: room(data.beforeTorque),
    loggedPower: room(data.beforePower),
    torqueUnit: data.torqueUnit,
    powerUnit: data.powerUnit,
    revLimitRpm: data.revLimitRpm,
  };
};

export const beforeAfterShapes = (data: BeforeAfter, place: CurvePlace): Shape[] => {
  const after = afterCurve(data);
  const { speed, torque, power } = curveScales(after, place);
  const xs = data.beforeRpm.map(speed.at);
  return [
    path('lead-l wi-before', lineThrough(xs, data.beforeTorque.map(torque.at))),
    path('lead-l wi-before', lineThrough(xs, data.beforePower.map(power.at))),
    ...torquePowerShapes(after, place),
  ];
};
