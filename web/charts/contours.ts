/** Lines of equal efficiency over a map given as speed lines: a grid bent to the map, cut by marching squares. */

export interface MapGrid {
  /** Rows: speed lines, slowest first. Columns: from surge to choke. All three arrays are rows times columns long. */
  readonly rows: number;
  readonly columns: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly value: Float64Array;
}

export interface SpeedLineData {
  readonly correctedFlowKgPerS: readonly number[];
  readonly pressureRatio: readonly number[];
  readonly efficiency: readonly number[];
}

const sample = (values: readonly number[], share: number): number => {
  const at = share * (values.length - 1);
  const low = Math.min(values.length - 1, Math.floor(at));
  const high = Math.min(values.length - 1, low + 1);
  return values[low]! + (values[high]! - values[low]!) * (at - low);
};

/** Catmull-Rom through four neighbours; at the ends the outer neighbour is mirrored. */
const smooth = (values: readonly number[], at: number): number => {
  const last = values.length - 1;
  const low = Math.min(last - 1, Math.max(0, Math.floor(at)));
  const t = at - low;
  const p1 = values[low]!;
  const p2 = values[Math.min(last, low + 1)]!;
  const p0 = low > 0 ? values[low - 1]! : 2 * p1 - p2;
  const p3 = low + 2 <= last ? values[low + 2]! : 2 * p2 - p1;
  return (
    0.5 * (2 * p1 + (p2 - p0) * t + (2 * p0 - 5 * p1 + 4 * p2 - p3) * t * t + (3 * p1 - p0 - 3 * p2 + p3) * t ** 3)
  );
};

/** Speed lines put on one grid, `perGap` rows between neighbours, `columns` along each line. */
export const mapGrid = (lines: readonly SpeedLineData[], columns = 48, perGap = 8): MapGrid => {
  const count = lines.length;
  const rows = count < 2 ? count : (count - 1) * perGap + 1;
  const x = new Float64Array(rows * columns);
  const y = new Float64Array(rows * columns);
  const value = new Float64Array(rows * columns);
  for (let column = 0; column < columns; column++) {
    const share = columns === 1 ? 0 : column / (columns - 1);
    const xs = lines.map((line) => sample(line.correctedFlowKgPerS, share));
    const ys = lines.map((line) => sample(line.pressureRatio, share));
    const values = lines.map((line) => sample(line.efficiency, share));
    for (let row = 0; row < rows; row++) {
      const at = count < 2 ? 0 : row / perGap;
      const index = row * columns + column;
      x[index] = count < 2 ? xs[0]! : smooth(xs, at);
      y[index] = count < 2 ? ys[0]! : smooth(ys, at);
      value[index] = count < 2 ? values[0]! : smooth(values, at);
    }
  }
  return { rows, columns, x, y, value };
};

type Point = readonly [x: number, y: number];

/** Pieces of the line where the grid's value is `level`, joined into polylines. */
export const contour = (grid: MapGrid, level: number): Point[][] => {
  const { rows, columns, x, y, value } = grid;
  const pieces: { from: string; to: string; a: Point; b: Point }[] = [];
  const cut = (one: number, other: number): { key: string; point: Point } => {
    const [low, high] = one < other ? [one, other] : [other, one];
    const share = (level - value[low]!) / (value[high]! - value[low]!);
    return {
      key: `${low} ${high}`,
      point: [x[low]! + (x[high]! - x[low]!) * share, y[low]! + (y[high]! - y[low]!) * share],
    };
  };
  for (let row = 0; row + 1 < rows; row++) {
    for (let column = 0; column + 1 < columns; column++) {
      const a = row * columns + column;
      const corners = [a, a + 1, a + columns + 1, a + columns] as const;
      const cuts: { key: string; point: Point }[] = [];
      for (let side = 0; side < 4; side++) {
        const one = corners[side]!;
        const other = corners[(side + 1) % 4]!;
        if (value[one]! >= level !== value[other]! >= level) cuts.push(cut(one, other));
      }
      for (let pair = 0; pair + 1 < cuts.length; pair += 2) {
        const from = cuts[pair]!;
        const to = cuts[pair + 1]!;
        pieces.push({ from: from.key, to: to.key, a: from.point, b: to.point });
      }
    }
  }
  return join(pieces);
};

const join = (pieces: readonly { from: string; to: string; a: Point; b: Point }[]): Point[][] => {
  const at = new Map<string, number[]>();
  pieces.forEach(({ from, to }, index) => {
    for (const key of [from, to]) at.set(key, [...(at.get(key) ?? []), index]);
  });
  const used = new Uint8Array(pieces.length);
  const walk = (start: string): Point[] => {
    const points: Point[] = [];
    let key = start;
    for (;;) {
      const index = (at.get(key) ?? []).find((candidate) => !used[candidate]);
      if (index === undefined) return points;
      used[index] = 1;
      const piece = pieces[index]!;
      points.push(piece.from === key ? piece.b : piece.a);
      key = piece.from === key ? piece.to : piece.from;
    }
  };
  const lines: Point[][] = [];
  for (let index = 0; index < pieces.length; index++) {
    if (used[index]) continue;
    const piece = pieces[index]!;
    used[index] = 1;
    const ahead = walk(piece.to);
    const behind = walk(piece.from);
    lines.push([...behind.reverse(), piece.a, piece.b, ...ahead]);
  }
  return lines;
};

/** Round levels worth drawing: whole per cents in steps of one, two or five below the best. */
export const islandLevels = (best: number, worst: number): number[] => {
  const top = Math.floor((best - 0.004) * 100);
  const bottom = Math.ceil((worst + 0.005) * 100);
  const levels: number[] = [];
  for (const below of [0, 2, 5, 9, 14, 20]) {
    const level = top - below;
    if (level > bottom) levels.push(level / 100);
  }
  return levels;
};
