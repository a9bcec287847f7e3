/** Curves that stand in where none was typed: common practice, no source. Each row is a place and the value there. */

/** Places as shares of the rev limit and values of a usual four-valve filling curve; two valves breathe some 8 % less. */
export const VOLUMETRIC_EFFICIENCY_SHAPE: readonly (readonly [number, number])[] = [
  [0.0, 0.62],
  [0.15, 0.77],
  [0.3, 0.85],
  [0.45, 0.9],
  [0.6, 0.94],
  [0.72, 0.95],
  [0.87, 0.92],
  [1.0, 0.86],
  [1.15, 0.75],
];
/** Full-throttle mixture that turbocharged petrol engines are usually set to (common practice, no source): rpm, lambda. */
export const LAMBDA_TARGET_SHAPE: readonly (readonly [number, number])[] = [
  [0, 0.88],
  [2500, 0.86],
  [4000, 0.83],
  [5500, 0.81],
  [7000, 0.79],
];
/** Effectiveness of a usual front-mounted cooler against air flow over the reference flow. */
export const EFFECTIVENESS_SHAPE: readonly (readonly [number, number])[] = [
  [0, 0.86],
  [1, 0.69],
  [2, 0.53],
];
