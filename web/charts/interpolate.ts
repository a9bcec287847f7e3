/** Readings between computed points, for a hairline that moves faster than any model runs. */

export interface Band {
  readonly p10: number;
  readonly p50: number;
  readonly p90: number;
}

/** Two neighbouring points and how far between them. */
export interface Between {
  readonly lower: number;
  readonly upper: number;
  readonly share: number;
}

/** Where `value` lies among rising `places`; null outside them or when there are none. */
export const between = (places: ArrayLike<number>, value: number): Between | null => {
  const last = places.length - 1;
  if (last < 0 || !(value >= places[0]!) || !(value <= places[last]!)) return null;
  let lower = 0;
  let upper = last;
  while (upper - lower > 1) {
    const middle = (lower + upper) >> 1;
    if (places[middle]! <= value) lower = middle;
    else upper = middle;
  }
  const width = places[upper]! - places[lower]!;
  return { lower, upper, share: width > 0 ? (value - places[lower]!) / width : 0 };
};

/** A plain reading at a place between points; NaN where either neighbour is missing. */
export const readAt = (values: ArrayLike<number>, place: Between): number => {
  const low = values[place.lower]!;
  return place.share === 0 ? low : low + (values[place.upper]! - low) * place.share;
};

/** A band at a place between points; undefined where either neighbour lacks it. */
export const bandAt = <P>(
  points: readonly P[],
  pick: (point: P) => Band | undefined,
  place: Between,
): Band | undefined => {
  const low = pick(points[place.lower]!);
  const high = pick(points[place.upper]!);
  if (low === undefined || high === undefined) return undefined;
  const mix = (a: number, b: number) => a + (b - a) * place.share;
  return { p10: mix(low.p10, high.p10), p50: mix(low.p50, high.p50), p90: mix(low.p90, high.p90) };
};

interface Series {
  readonly timesS: ArrayLike<number>;
  readonly values: ArrayLike<number>;
}
interface Span {
  readonly startS: number;
  readonly endS: number;
}

/**
 * Readings gathered by engine speed: the mean of all readings within `halfWidth` of each place, NaN where there are none.
 * Readings are taken at the engine speed the log shows at their time.
 */
export const gatherBySpeed = (
  speed: Series,
  reading: Series,
  stretch: Span,
  places: readonly number[],
  halfWidth: number,
): Float64Array => {
  const sums = new Float64Array(places.length);
  const counts = new Float64Array(places.length);
  for (let i = 0; i < reading.timesS.length; i++) {
    const time = reading.timesS[i]!;
    const value = reading.values[i]!;
    if (time < stretch.startS || time > stretch.endS || !Number.isFinite(value)) continue;
    const at = between(speed.timesS, time);
    if (at === null) continue;
    const rpm = readAt(speed.values, at);
    for (let place = 0; place < places.length; place++) {
      if (Math.abs(places[place]! - rpm) <= halfWidth) {
        sums[place]! += value;
        counts[place]! += 1;
      }
    }
  }
  return sums.map((sum, place) => (counts[place]! > 0 ? sum / counts[place]! : Number.NaN));
};

/**
 * Which stretch of a pull speaks for each engine speed: where gears overlap, the one that had been pulling longest there,
 * because boost is still coming back in the first moments after a change. -1 where none passed.
 */
export const settledStretch = (
  speed: Series,
  stretches: readonly Span[],
  places: readonly number[],
  halfWidth: number,
): Int16Array => {
  const best = new Int16Array(places.length).fill(-1);
  const longest = new Float64Array(places.length).fill(-1);
  stretches.forEach((stretch, index) => {
    const pulling = gatherBySpeed(
      speed,
      { timesS: speed.timesS, values: Array.from(speed.timesS, (time) => time - stretch.startS) },
      stretch,
      places,
      halfWidth,
    );
    pulling.forEach((seconds, place) => {
      if (seconds > longest[place]!) {
        longest[place] = seconds;
        best[place] = index;
      }
    });
  });
  return best;
};
