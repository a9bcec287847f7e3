/** Scales between what is measured and where it stands on the sheet. */
export interface Scale {
  readonly from: number;
  readonly to: number;
  readonly start: number;
  readonly end: number;
  /** Value to place. */
  readonly at: (value: number) => number;
  /** Place to value, held between the ends. */
  readonly valueAt: (place: number) => number;
}

/** A linear scale: value `from` stands at `start`, value `to` at `end`. */
export const linearScale = (from: number, to: number, start: number, end: number): Scale => {
  const span = to - from === 0 ? 1 : to - from;
  const length = end - start === 0 ? 1 : end - start;
  const low = Math.min(from, to);
  const high = Math.max(from, to);
  return {
    from,
    to,
    start,
    end,
    at: (value) => start + ((value - from) / span) * length,
    valueAt: (place) => Math.min(high, Math.max(low, from + ((place - start) / length) * span)),
  };
};

const STEPS = [1, 2, 2.5, 5, 10];

/** The smallest step of the series 1, 2, 2.5, 5 times a power of ten that cuts `span` into at most `most` pieces. */
export const niceStep = (span: number, most: number): number => {
  if (!(span > 0) || !(most > 0)) return 1;
  const rough = span / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  return (STEPS.find((step) => step * power >= rough * (1 - 1e-9)) ?? 10) * power;
};

const CLOCK_STEPS_S = [15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200];

/** The same for times of the day [s]: whole parts of minutes and hours from 15 s on. */
export const niceClockStep = (spanS: number, most: number): number => {
  const step = niceStep(spanS, most);
  const least = (spanS / most) * (1 - 1e-9);
  return step <= 10 ? step : (CLOCK_STEPS_S.find((one) => one >= least) ?? Math.ceil(least / 86_400) * 86_400);
};

/** Multiples of `step` from `from` to `to`, both included where they fall on one. */
export const multiples = (from: number, to: number, step: number): number[] => {
  const values: number[] = [];
  const first = Math.ceil(from / step - 1e-9);
  const last = Math.floor(to / step + 1e-9);
  for (let i = first; i <= last && values.length < 2000; i++) values.push(Number((i * step).toPrecision(12)));
  return values;
};

/** Round values inside a span, about `most` of them. */
export const niceTicks = (from: number, to: number, most: number): number[] =>
  multiples(from, to, niceStep(to - from, most));

/** Decimals needed to tell neighbours of a step apart. */
export const decimalsOf = (step: number): number => {
  if (!(step > 0)) return 0;
  for (let decimals = 0; decimals < 6; decimals++) {
    if (Math.abs(step * 10 ** decimals - Math.round(step * 10 ** decimals)) < 1e-6) return decimals;
  }
  return 6;
};
