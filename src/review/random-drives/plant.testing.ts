/**
 * The gas side of an invented car, written for the check and apart from `src/match`: compressor by a closed formula,
 * turbine as an orifice, engine by mean values. SI; engine and shaft speed in rpm. General relations only:
 * Eriksson & Nielsen, Modeling and Control of Engines and Drivelines (2014); Heywood (1988).
 */

export const GAS_CONSTANT = 287.1;
const CP_AIR = 1005;
const CP_EXHAUST = 1180;
/** (k-1)/k */
const AIR_EXPONENT = 0.2857;
const EXHAUST_EXPONENT = 0.2481;

/** A compressor whose map is a formula: what `told` maps are sampled from. */
export interface Compressor {
  readonly wheelM: number;
  /** Corrected choke flow [kg/s] at the limit of speed. */
  readonly chokeKgPerS: number;
  readonly limitTipMPerS: number;
  /** Work coefficient times best efficiency: head over tip speed squared. */
  readonly headShare: number;
  /** Surge over choke flow at slow and at full speed. */
  readonly surgeShare: readonly [number, number];
  readonly bestEfficiency: number;
  readonly shape: number;
}

export interface SpeedLine {
  readonly surge: number;
  readonly choke: number;
  /** Pressure ratio at the surge line. */
  readonly top: number;
}

const REFERENCE_K = 298;
export const REFERENCE_PA = 100e3;

export const limitRpmOf = (one: Compressor): number => (60 * one.limitTipMPerS) / (Math.PI * one.wheelM);

/** Speed line at a share of the limit. */
export const lineAt = (one: Compressor, share: number): SpeedLine => {
  const tip = share * one.limitTipMPerS;
  const choke = one.chokeKgPerS * share ** 1.15;
  const surge = choke * (one.surgeShare[0] + (one.surgeShare[1] - one.surgeShare[0]) * Math.min(1.2, share));
  return { surge, choke, top: (1 + (one.headShare * tip * tip) / (CP_AIR * REFERENCE_K)) ** (1 / AIR_EXPONENT) };
};

/** Corrected flow at which a line gives a pressure ratio; left of surge it breaks down steeply. */
export const flowOnLine = (one: Compressor, { surge, choke, top }: SpeedLine, ratio: number): number => {
  if (top <= 1.0005) return ratio <= 1 ? choke : 0;
  const height = (ratio - 1) / (top - 1);
  if (height >= 1) return surge * Math.max(0, 1 - 12 * (height - 1));
  return surge + (choke - surge) * (1 - Math.max(0, height) ** one.shape) ** (1 / one.shape);
};

/** Pressure ratio of a line at a flow right of surge. */
export const ratioOnLine = (one: Compressor, { surge, choke, top }: SpeedLine, flow: number): number => {
  const place = Math.max(0, Math.min(1, (flow - surge) / (choke - surge)));
  return 1 + (top - 1) * (1 - place ** one.shape) ** (1 / one.shape);
};

export const efficiencyAt = (one: Compressor, share: number, flow: number): number => {
  const { surge, choke } = lineAt(one, share);
  const place = (flow - surge) / (choke - surge);
  const off = place - 0.45;
  return Math.max(0.3, one.bestEfficiency - (off > 0 ? 0.85 : 0.3) * off * off - 0.2 * (share - 0.75) ** 2);
};

/** What turbine, wastegate and exhaust make of the gas. */
export interface ExhaustSide {
  readonly turbineAreaM2: number;
  readonly turbineEfficiency: number;
  readonly turbineWheelM: number;
  readonly wastegateAreaM2: number;
  readonly bearingEfficiency: number;
  /** Pressure after the turbine over outside [Pa] at 1 kg/s, goes with flow squared. */
  readonly systemPaPerFlow2: number;
}

/** Flow through an orifice [kg/s]. Source: Heywood (1988) app. C; k 1.33. */
export const orifice = (areaM2: number, upPa: number, upK: number, downPa: number): number => {
  const ratio = Math.max(0.54, Math.min(1, downPa / upPa));
  const k = 1.33;
  const psi = Math.sqrt(((2 * k) / (k - 1)) * (ratio ** (2 / k) - ratio ** ((k + 1) / k)));
  return (areaM2 * upPa * psi) / Math.sqrt(GAS_CONSTANT * upK);
};

/** Shaft power of the turbine [W]: efficiency falls off its best blade speed ratio (0.68) as a parabola. */
export const turbinePowerW = (
  side: ExhaustSide,
  flow: number,
  upPa: number,
  upK: number,
  downPa: number,
  shaftRpm: number,
): number => {
  const drop = 1 - Math.min(1, downPa / upPa) ** EXHAUST_EXPONENT;
  if (drop <= 0) return 0;
  const spout = Math.sqrt(2 * CP_EXHAUST * upK * drop);
  const off = (Math.PI * side.turbineWheelM * shaftRpm) / 60 / spout / 0.68 - 1;
  const efficiency = side.turbineEfficiency * Math.max(0.15, 1 - 0.75 * off * off);
  return flow * CP_EXHAUST * upK * drop * efficiency * side.bearingEfficiency;
};

export const outletK = (inletK: number, ratio: number, efficiency: number): number =>
  inletK * (1 + (Math.max(1, ratio) ** AIR_EXPONENT - 1) / efficiency);

export const compressorPowerW = (flow: number, inletK: number, outK: number): number => flow * CP_AIR * (outK - inletK);

/** Straight lines over [x, y] rows, constant beyond. */
export const along = (rows: readonly (readonly [number, number])[], x: number): number => {
  for (let i = 1; i < rows.length; i++) {
    const [x1, y1] = rows[i]!;
    if (x > x1) continue;
    const [x0, y0] = rows[i - 1]!;
    return x <= x0 ? y0 : y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
  }
  return rows.at(-1)![1];
};

export interface Engine {
  readonly cylinders: number;
  readonly displacementM3: number;
  readonly compressionRatio: number;
  readonly revLimitRpm: number;
  readonly shiftRpm: number;
  readonly idleRpm: number;
  readonly inertiaKgM2: number;
  /** Over engine speed, at equal pressures before and after the cylinders. */
  readonly filling: readonly (readonly [number, number])[];
  readonly indicatedEfficiency: number;
  /** Friction mean effective pressure [Pa]: at rest, per 1000 rpm, per its square. */
  readonly frictionPa: readonly [number, number, number];
}

export interface Fuel {
  readonly kind: 'petrol' | 'ethanol blend' | 'diesel';
  readonly heatJPerKg: number;
  readonly airPerFuel: number;
  readonly densityKgPerM3: number;
  readonly octane: number;
}

/** Filling with residual gas: (e - (pe/pm)^(1/1.3)) / (e - 1). Source: Eriksson & Nielsen (2014) ch. 4. */
export const fillingOf = (engine: Engine, rpm: number, exhaustPa: number, manifoldPa: number): number => {
  const e = engine.compressionRatio;
  return along(engine.filling, rpm) * Math.max(0.3, (e - (exhaustPa / manifoldPa) ** (1 / 1.3)) / (e - 1));
};

export const airFlowOf = (engine: Engine, filling: number, rpm: number, manifoldPa: number, chargeK: number): number =>
  (filling * engine.displacementM3 * (rpm / 120) * manifoldPa) / (GAS_CONSTANT * chargeK);

/** Heat that a mixture gives over what its air gives at best, at lambda 0.9: a few per cent less at 0.78, falling with the fuel when lean (Heywood (1988) sect. 9.6 for the shape). */
const burned = (lambda: number): number =>
  lambda <= 1 ? 1 - 0.3 * Math.max(0, 0.9 - lambda) - 0.3 * Math.max(0, lambda - 0.9) : 0.97 / lambda;

/** Gross work of the cylinders [W] and exhaust temperature [K]; energy not worked or lost to the walls leaves with the gas. */
export const burn = (
  engine: Engine,
  fuel: Fuel,
  air: number,
  lambda: number,
  rpm: number,
  chargeK: number,
  lateDeg: number,
): { readonly workW: number; readonly exhaustK: number } => {
  const heatW = ((air * fuel.heatJPerKg) / fuel.airPerFuel) * burned(lambda);
  const compression = (1 - engine.compressionRatio ** -0.33) / (1 - 9 ** -0.33);
  const efficiency =
    engine.indicatedEfficiency *
    compression *
    Math.max(0.5, 1 - 0.00055 * lateDeg * lateDeg) *
    (1 - 0.04 * Math.max(0, 1 - rpm / 2500));
  const walls = 0.15 + 0.1 * Math.min(2, 2500 / Math.max(600, rpm));
  const gas = air * (1 + 1 / (fuel.airPerFuel * lambda));
  return {
    workW: heatW * efficiency,
    exhaustK: chargeK + (heatW * Math.max(0.15, 0.97 - efficiency - walls)) / Math.max(1e-4, gas * 1200),
  };
};

export const frictionOf = (engine: Engine, rpm: number): number => {
  const k = rpm / 1000;
  return engine.frictionPa[0] + engine.frictionPa[1] * k + engine.frictionPa[2] * k * k;
};
