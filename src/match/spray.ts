/**
 * How much of a water-methanol mist dries before the valves.
 *
 * Drying a mist takes tens of microseconds to compute and is asked for hundreds of thousands of times, so it stands on a
 * grid over everything it depends on: charge temperature and pressure, liquid per air, methanol in the mix, moisture of the
 * air, and time over droplet diameter squared. Grid points are worked out the first time somebody comes by; their values
 * depend on nothing but their place, so answers do not depend on who came before. Between them straight lines.
 */
import { INJECTED_LIQUID_K, mistExposureOf, mistWayOf } from '../car/index.ts';
import { dryMist, newDriedMist, settledMist } from '../physics/index.ts';
import type { Prepared } from './prepare.ts';

/** One axis of the grid: places by index, and index by place. */
interface Axis {
  readonly count: number;
  readonly from: number;
  readonly step: number;
  readonly log: boolean;
}
const TEMPERATURE: Axis = { count: 15, from: 270, step: 10, log: false };
const PRESSURE: Axis = { count: 9, from: Math.log(90e3), step: Math.log(1.2), log: true };
const LIQUID: Axis = { count: 12, from: Math.log(0.002), step: Math.log(1.5), log: true };
const METHANOL: Axis = { count: 11, from: 0, step: 0.1, log: false };
const HUMIDITY: Axis = { count: 6, from: 0, step: 0.008, log: false };
/** The last place stands for all the time in the world. */
const EXPOSURE: Axis = { count: 23, from: Math.log(3e5), step: Math.log(1.5), log: true };
const AXES = [TEMPERATURE, PRESSURE, LIQUID, METHANOL, HUMIDITY, EXPOSURE] as const;
const SETTLED = EXPOSURE.count - 1;

const placeOf = ({ from, step, log }: Axis, index: number): number =>
  log ? Math.exp(from + index * step) : from + index * step;

const CORNERS = 64;
/** Distance in the grid from a place to the next along each axis. */
const STRIDES: readonly number[] = AXES.map((_, axis) =>
  AXES.slice(0, axis).reduce((product, { count }) => product * count, 1),
);
const SIZE = AXES.reduce((product, { count }) => product * count, 1);
let grid: Float32Array | null = null;
/** Corners round the place asked for: where they lie in the grid and what each weighs. */
const cellOf = new Int32Array(CORNERS);
const weightOf = new Float64Array(CORNERS);
const dried = newDriedMist();

/** Cooling of the air at a place of the grid, over what the whole latent heat of the mist would give [-]. */
const workOut = (cell: number): number => {
  const [t, p, liquid, methanol, humidity, exposure] = AXES.map((axis, i) =>
    placeOf(axis, Math.floor(cell / STRIDES[i]!) % axis.count),
  );
  const mist = {
    temperatureK: t!,
    pressurePa: p!,
    liquidPerAir: liquid!,
    methanolMassFraction: Math.min(1, methanol!),
    humidityRatio: humidity!,
    liquidTemperatureK: INJECTED_LIQUID_K,
  };
  if (cell >= SETTLED * STRIDES[5]!) settledMist(mist, dried);
  else dryMist(mist, exposure!, dried);
  // A mist colder than the dew point takes up water and warms the air: then nothing is gained, and nothing is taken.
  return Math.fround(Math.min(1, Math.max(0, dried.coolingShare)));
};

/** Splits the corners found so far along one more axis, at `value` between places 0 and `last` of it. */
const splitAt = (axis: number, value: number, last: number): void => {
  const { from, step } = AXES[axis]!;
  const at = Math.min(last, Math.max(0, (value - from) / step));
  const low = Math.min(last - 1, Math.floor(at));
  const part = at - low;
  const stride = STRIDES[axis]!;
  const corners = 1 << axis;
  for (let c = 0; c < corners; c++) {
    const cell = cellOf[c]! + low * stride;
    const weight = weightOf[c]!;
    cellOf[c] = cell;
    weightOf[c] = weight * (1 - part);
    cellOf[c + corners] = cell + stride;
    weightOf[c + corners] = weight * part;
  }
};

/**
 * Share of the mist's latent heat that it takes from the charge [-], 0 to 1.
 * `exposureSPerM2`: time over droplet diameter squared, or null for all the time it wants (saturation alone).
 * Reads the grid by straight lines: within 0.01 of the law itself over the range of road cars.
 */
export const coolingShareOfMist = (
  temperatureK: number,
  pressurePa: number,
  liquidPerAir: number,
  methanolMassFraction: number,
  humidityRatio: number,
  exposureSPerM2: number | null,
): number => {
  grid ??= new Float32Array(SIZE).fill(Number.NaN);
  const cells = grid;
  cellOf[0] = 0;
  weightOf[0] = 1;
  splitAt(0, temperatureK, TEMPERATURE.count - 1);
  splitAt(1, Math.log(pressurePa), PRESSURE.count - 1);
  splitAt(2, Math.log(liquidPerAir), LIQUID.count - 1);
  splitAt(3, methanolMassFraction, METHANOL.count - 1);
  splitAt(4, humidityRatio, HUMIDITY.count - 1);
  let corners = CORNERS / 2;
  if (exposureSPerM2 === null) {
    for (let c = 0; c < corners; c++) cellOf[c]! += SETTLED * STRIDES[5]!;
  } else {
    splitAt(5, Math.log(Math.max(1, exposureSPerM2)), SETTLED - 1);
    corners = CORNERS;
  }
  let sum = 0;
  for (let c = 0; c < corners; c++) {
    const weight = weightOf[c]!;
    if (weight === 0) continue;
    const cell = cellOf[c]!;
    let share = cells[cell]!;
    if (Number.isNaN(share)) {
      share = workOut(cell);
      cells[cell] = share;
    }
    sum += weight * share;
  }
  return sum;
};

/**
 * Share of the spray's latent heat that is taken from the charge before the valves [-]; the rest is left for the cylinder.
 *
 * Where the sheet types the evaporated share that is taken, as far as saturation lets it; else droplets and their time
 * decide: air flow (from `sprayOverAir` and the nozzle's law) sets the time in pipe and plenum. `beforeK` is the charge
 * before the spray.
 */
export const evaporatedShare = (
  prepared: Prepared,
  beforeK: number,
  pressurePa: number,
  sprayOverAir: number,
): number => {
  if (!(sprayOverAir > 0)) return 0;
  const { car, conditions, humidityRatio, mixDensity } = prepared;
  const { injection, facts } = car;
  const methanol = Math.min(1, Math.max(0, injection.methanolMassFraction));
  const worked = facts.workedOutEvaporatedShare;
  if (worked === null) {
    const most = coolingShareOfMist(beforeK, pressurePa, sprayOverAir, methanol, humidityRatio, null);
    return Math.min(injection.evaporatedShare, most);
  }
  const boostPa = pressurePa - conditions.ambientPressurePa;
  const push = Math.max(0, (injection.pumpPressureGaugePa - boostPa) / injection.pumpPressureGaugePa);
  const sprayKgPerS = injection.nozzleFlowM3PerS * Math.sqrt(push) * mixDensity;
  const exposure = mistExposureOf(mistWayOf(car), {
    airFlowKgPerS: sprayKgPerS / sprayOverAir,
    pressurePa,
    temperatureK: beforeK,
    boostPa,
  });
  const share = coolingShareOfMist(beforeK, pressurePa, sprayOverAir, methanol, humidityRatio, exposure);
  // What the law leaves out (walls, droplets of many sizes) is the plus-minus of the sheet's number over its own value.
  return Math.min(1, worked > 0 ? (share * injection.evaporatedShare) / worked : share);
};
