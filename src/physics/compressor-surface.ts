/**
 * A compressor map as a smooth surface, held in tables.
 *
 * Each speed line is a generalised ellipse (Leufven & Eriksson, Control Engineering Practice 21 (2013) 1871) with a work
 * line of its own (Euler: the work of a backswept wheel falls with flow; Watson & Janota (1982) ch. 3). Between the lines
 * all coefficients follow monotone cubics in shaft speed; below the lowest line flow goes with speed and head with speed
 * squared (similarity); above the highest line they run on straight for a fifth more and the answer says so.
 */

import { FLOW_COLUMNS, FLOW_END, headOnRow, SEARCH_BINS, SPEED_ROWS } from './compressor-grid.ts';
import { ellipsePressureRatio, type FittedLine, MAP_EXPONENT } from './compressor-line-fit.ts';
import type { MapFit } from './compressor-map-quality.ts';
import { monotoneCurve } from './curves.ts';
import { expectSolved } from './reason.ts';

const OVERSPEED = 1.2;

/** Tables row by row of speed; speeds run evenly from 0 to `topSpeedRpm`. */
export interface SurfaceTables {
  readonly lines: readonly FittedLine[];
  readonly lowestLineRpm: number;
  readonly highestLineRpm: number;
  readonly topSpeedRpm: number;
  /** Head (PR^((k-1)/k) - 1) and work (rise over inlet temperature), both over (speed/topSpeed)^2, by speed and flow/choke. */
  readonly head: Float64Array;
  readonly work: Float64Array;
  readonly chokeFlow: Float64Array;
  readonly surgeFlow: Float64Array;
  /** One over `chokeFlow`, and one over the widest flow and head of `firstRow`. */
  readonly perChokeFlow: Float64Array;
  readonly perWidestFlow: number;
  readonly perHighestHead: number;
  /** Row near which the search for a shaft speed begins, by flow and head. A hint only: no answer depends on it. */
  readonly firstRow: Uint8Array;
}

/** A fitted map. */
export interface CompressorSurface extends SurfaceTables {
  readonly referenceTemperatureK: number;
  readonly referencePressurePa: number;
  /** True when estimated from wheel sizes. */
  readonly estimated: boolean;
  readonly fit: MapFit;
}

/** Where the search for a shaft speed begins: the row just below the answer at the middle of each bin of flow and head. */
const searchTable = (head: Float64Array, chokeFlow: Float64Array, perChokeFlow: Float64Array) => {
  const widest = FLOW_END * Math.max(...chokeFlow);
  let highest = 0.01;
  for (let column = 0; column < FLOW_COLUMNS; column++) {
    highest = Math.max(highest, head[(SPEED_ROWS - 1) * FLOW_COLUMNS + column]!);
  }
  const firstRow = new Uint8Array(SEARCH_BINS * SEARCH_BINS);
  for (let i = 0; i < SEARCH_BINS; i++) {
    const flow = ((i + 0.5) * widest) / SEARCH_BINS;
    let row = 0;
    for (let k = 0; k < SEARCH_BINS; k++) {
      const wanted = ((k + 0.5) * highest) / SEARCH_BINS;
      while (row < SPEED_ROWS - 2 && headOnRow(head, perChokeFlow, row + 1, flow) < wanted) row++;
      firstRow[i * SEARCH_BINS + k] = row;
    }
  }
  return { perWidestFlow: 1 / widest, perHighestHead: 1 / highest, firstRow };
};

/**
 * Tables of a surface through fitted lines: two or more, speeds [rpm] rising.
 * Source: see the head of this file.
 */
export const surfaceTables = (lines: readonly FittedLine[]): SurfaceTables => {
  const speeds = lines.map((line) => line.shaftSpeedRpm);
  const low = lines[0]!;
  const lowest = speeds[0]!;
  const highest = speeds[speeds.length - 1]!;
  const top = OVERSPEED * highest;

  /** Monotone inside; similarity (constant) below; straight on above, within `limits`. */
  const along = (values: number[], limits: readonly [number, number]) => {
    const curve = expectSolved(monotoneCurve(speeds, values));
    const last = values.length - 1;
    const slope = (values[last]! - values[last - 1]!) / (speeds[last]! - speeds[last - 1]!);
    return (speed: number): number => {
      const value = speed > highest ? values[last]! + slope * (speed - highest) : curve.at(speed);
      return Math.min(limits[1], Math.max(limits[0], value));
    };
  };
  const over = (speed: number) => (speed / top) ** 2;
  const choke = along(
    lines.map((l) => l.chokeFlowKgPerS),
    [0, Number.POSITIVE_INFINITY],
  );
  const surgeShare = along(
    lines.map((l) => l.surgeFlowKgPerS / l.chokeFlowKgPerS),
    [0, 0.9],
  );
  const upright = along(
    lines.map((l) => l.uprightFlowKgPerS / l.chokeFlowKgPerS),
    [0.92, 1.5],
  );
  const surgeHead = along(
    lines.map((l) => (l.surgePressureRatio ** MAP_EXPONENT - 1) / over(l.shaftSpeedRpm)),
    [0, Number.POSITIVE_INFINITY],
  );
  const flowPower = along(
    lines.map((l) => Math.log(l.flowPower)),
    [-1, 4],
  );
  const pressurePower = along(
    lines.map((l) => Math.log(l.pressurePower)),
    [-1, 4],
  );
  const work = [0, 1, 2].map((i) =>
    along(
      lines.map((l) => l.work[i]! / over(l.shaftSpeedRpm)),
      [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY],
    ),
  );

  const headTable = new Float64Array(SPEED_ROWS * FLOW_COLUMNS);
  const workTable = new Float64Array(SPEED_ROWS * FLOW_COLUMNS);
  const chokeFlow = new Float64Array(SPEED_ROWS);
  const surgeFlow = new Float64Array(SPEED_ROWS);
  // Below the lowest line the shape of its head is kept, not its pressure ratio: similarity of slow flow.
  const lowHead = (x: number): number => {
    const ratio = ellipsePressureRatio(
      x * low.chokeFlowKgPerS,
      low.surgeFlowKgPerS,
      low.uprightFlowKgPerS,
      low.surgePressureRatio,
      low.flowPower,
      low.pressurePower,
    );
    return (Math.max(ratio, 0.3) ** MAP_EXPONENT - 1) / over(lowest);
  };
  for (let row = 0; row < SPEED_ROWS; row++) {
    const speed = (top * row) / (SPEED_ROWS - 1);
    const slow = speed < lowest;
    chokeFlow[row] = slow ? (low.chokeFlowKgPerS * speed) / lowest : choke(speed);
    surgeFlow[row] = chokeFlow[row]! * surgeShare(speed);
    const surgeRatio = (1 + surgeHead(speed) * over(speed)) ** (1 / MAP_EXPONENT);
    const n = Math.exp(flowPower(speed));
    const q = Math.exp(pressurePower(speed));
    for (let column = 0; column < FLOW_COLUMNS; column++) {
      const x = (FLOW_END * column) / (FLOW_COLUMNS - 1);
      const place = row * FLOW_COLUMNS + column;
      if (slow) headTable[place] = lowHead(x);
      else {
        const ratio = ellipsePressureRatio(x, surgeShare(speed), upright(speed), surgeRatio, n, q);
        headTable[place] = (Math.max(ratio, 0.3) ** MAP_EXPONENT - 1) / over(speed);
      }
      const x1 = Math.min(x, 1);
      // The wheel always works on the air, however little head is left.
      workTable[place] = Math.max(
        work[0]!(speed) + work[1]!(speed) * x1 + work[2]!(speed) * x1 * x1,
        0.15 * work[0]!(speed),
      );
    }
  }
  const perChokeFlow = chokeFlow.map((flow) => 1 / Math.max(flow, 1e-9));
  // A wheel that stands still passes nothing: the flow asks for more speed whatever the pressure.
  return {
    lines,
    lowestLineRpm: lowest,
    highestLineRpm: highest,
    topSpeedRpm: top,
    head: headTable,
    work: workTable,
    chokeFlow,
    surgeFlow,
    perChokeFlow,
    ...searchTable(headTable, chokeFlow, perChokeFlow),
  };
};
