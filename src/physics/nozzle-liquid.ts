/** Liquid through a mist nozzle: flow by pressure drop, size for a flow, speed of the sheet and size of the droplets. */

/**
 * Volume flow of a nozzle at another pressure drop and density than it is rated at: Q = Qr sqrt((dp / dpr) (rho_r / rho)).
 *
 * @param ratedFlowM3PerS flow at the rating [m3/s]
 * @param ratedDifferentialPa pressure drop at the rating [Pa], above 0
 * @param differentialPa pressure drop now: pump less manifold pressure, both gauge [Pa]; nothing flows at 0 or below
 * @param densityRatio density of the liquid it is rated with over that of the liquid now [-]
 * @returns [m3/s], 0 or more
 * Source: Bernoulli with one discharge coefficient, as {@link restrictorFlowM3PerS}.
 */
export const mistNozzleFlowM3PerS = (
  ratedFlowM3PerS: number,
  ratedDifferentialPa: number,
  differentialPa: number,
  densityRatio = 1,
): number =>
  differentialPa > 0 && ratedDifferentialPa > 0
    ? ratedFlowM3PerS * Math.sqrt((differentialPa / ratedDifferentialPa) * densityRatio)
    : 0;

/**
 * Rated flow that a nozzle must have to pass a flow: inverse of {@link mistNozzleFlowM3PerS}.
 *
 * @param wantedFlowM3PerS flow now [m3/s]
 * @param ratedDifferentialPa pressure drop at the rating [Pa]
 * @param differentialPa pressure drop now [Pa], above 0
 * @param densityRatio as there [-]
 * @returns [m3/s]; nothing where no pressure drives it
 * Source: Bernoulli with one discharge coefficient.
 */
export const mistNozzleSizeM3PerS = (
  wantedFlowM3PerS: number,
  ratedDifferentialPa: number,
  differentialPa: number,
  densityRatio = 1,
): number =>
  differentialPa > 0 && ratedDifferentialPa > 0
    ? wantedFlowM3PerS / Math.sqrt((differentialPa / ratedDifferentialPa) * densityRatio)
    : 0;

/** Speed of the liquid leaving a pressure-swirl nozzle over the ideal one [-]. Source: Lefebvre & McDonell, Atomization and Sprays, sect. 5 (0.7 to 0.9, from memory). */
const VELOCITY_COEFFICIENT = 0.8;

/** Speed of the liquid sheet [m/s] at a pressure drop [Pa] and liquid density [kg/m3]. Source: Bernoulli with a velocity coefficient of 0.8. */
export const sheetVelocityMPerS = (differentialPa: number, densityKgPerM3: number): number =>
  differentialPa > 0 ? VELOCITY_COEFFICIENT * Math.sqrt((2 * differentialPa) / densityKgPerM3) : 0;

/** What the droplet size of a pressure-swirl nozzle depends on. */
export interface MistConditions {
  readonly surfaceTensionNPerM: number;
  readonly liquidViscosityPaS: number;
  readonly massFlowKgPerS: number;
  readonly differentialPa: number;
  readonly airDensityKgPerM3: number;
}

/**
 * Sauter mean diameter of the mist of a pressure-swirl nozzle [m]: 2.25 s^0.25 mu^0.25 m^0.25 dp^-0.5 rho_air^-0.25, all SI.
 * Good to about 30 %; hollow-cone nozzles of 0.5 to 20 g/s at 0.3 to 2 MPa. Nothing where no pressure drives it.
 * Source: Lefebvre, Gas Turbine Combustion (1983) and Atomization and Sprays (1989), pressure-swirl nozzles (from memory).
 */
export const sauterMeanDiameterM = (mist: MistConditions): number =>
  mist.differentialPa > 0
    ? (2.25 *
        (mist.surfaceTensionNPerM * mist.liquidViscosityPaS * Math.max(0, mist.massFlowKgPerS)) ** 0.25 *
        mist.airDensityKgPerM3 ** -0.25) /
      Math.sqrt(mist.differentialPa)
    : 0;
