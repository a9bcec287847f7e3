/** Wiebe burn function: the burned share against crank angle. */

/** Shape of a burn. */
export interface WiebeShape {
  /** Efficiency parameter a [-]; 5 burns 99.3 %, 6.908 burns 99.9 %. */
  readonly efficiency: number;
  /** Form factor m [-], the larger the later. */
  readonly form: number;
}

/** Usual shape for spark ignition. Source: Heywood (1988) sect. 9.2, a = 5, m = 2. */
export const USUAL_WIEBE: WiebeShape = { efficiency: 5, form: 2 };

/**
 * Burned share, xb = 1 - exp(-a y^(m+1)) with y = (theta - theta0) / duration.
 *
 * @param crankAngleDeg [deg]
 * @param startDeg start of burning [deg]
 * @param durationDeg [deg], above 0
 * @param shape a and m [-]
 * @returns [-], 0 before the start; after the duration it holds its end value 1 - exp(-a)
 * Source: Heywood (1988) eq. 9.30.
 */
export const wiebeBurned = (
  crankAngleDeg: number,
  startDeg: number,
  durationDeg: number,
  shape: WiebeShape = USUAL_WIEBE,
): number => {
  const y = Math.min((crankAngleDeg - startDeg) / durationDeg, 1);
  return y <= 0 ? 0 : -Math.expm1(-shape.efficiency * y ** (shape.form + 1));
};

/** Burning rate [1/deg] at a crank angle [deg]; zero outside the burn. Source: derivative of Heywood (1988) eq. 9.30. */
export const wiebeRatePerDeg = (
  crankAngleDeg: number,
  startDeg: number,
  durationDeg: number,
  shape: WiebeShape = USUAL_WIEBE,
): number => {
  const y = (crankAngleDeg - startDeg) / durationDeg;
  if (y <= 0 || y > 1) return 0;
  const power = y ** shape.form;
  return ((shape.efficiency * (shape.form + 1)) / durationDeg) * power * Math.exp(-shape.efficiency * power * y);
};

/**
 * Crank angle [deg] at which a share [-], 0 to below 1, is burned. Source: inverse of Heywood (1988) eq. 9.30; past the
 * share burned at the end of the duration the same curve is followed on.
 */
export const wiebeAngleDeg = (
  burnedShare: number,
  startDeg: number,
  durationDeg: number,
  shape: WiebeShape = USUAL_WIEBE,
): number => startDeg + durationDeg * (-Math.log1p(-burnedShare) / shape.efficiency) ** (1 / (shape.form + 1));

/** Efficiency parameter a [-] that leaves a share [-] unburned at the end of the duration. Source: a = -ln(1 - xb). */
export const wiebeEfficiencyForBurned = (burnedShareAtEnd: number): number => -Math.log1p(-burnedShareAtEnd);
