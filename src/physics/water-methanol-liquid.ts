/** What a water-methanol mix is like as a liquid in a nozzle: surface tension and viscosity. */
import { clamp } from './clamp.ts';
import { monotoneCurve } from './curves.ts';
import { expectSolved, type Solved, solved, unsolved } from './reason.ts';

/** Methanol by mass [-] and surface tension at 20 degC [N/m]. Source: CRC Handbook, aqueous mixtures (from memory); ends IAPWS and CRC. */
const TENSION = expectSolved(
  monotoneCurve(
    [0, 0.075, 0.1, 0.25, 0.5, 0.6, 0.8, 0.9, 1],
    [0.0727, 0.0609, 0.059, 0.0464, 0.0353, 0.033, 0.0273, 0.0254, 0.0226],
  ),
);

/**
 * Methanol by mass [-] and viscosity at 25 degC [Pa s]. Source: Melinder (2010) through CoolProp 8.0.0 to 0.6; Mikhail &
 * Kimel, J. Chem. Eng. Data 6 (1961) 533 beyond (from memory).
 */
const VISCOSITY = expectSolved(
  monotoneCurve(
    [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1],
    [0.89e-3, 1.143e-3, 1.382e-3, 1.541e-3, 1.589e-3, 1.534e-3, 1.408e-3, 1.2e-3, 0.98e-3, 0.757e-3, 0.543e-3],
  ),
);

const known = (curve: { at(x: number): number }, methanolMassFraction: number): Solved<number> =>
  methanolMassFraction >= 0 && methanolMassFraction <= 1
    ? solved(curve.at(clamp(methanolMassFraction, 0, 1)))
    : unsolved('input-out-of-range', `Methanol by mass lies between 0 and 1; got ${methanolMassFraction}.`);

/** Surface tension [N/m] of a mix at 20 degC, methanol by mass [-]. Reason: `input-out-of-range`. Source: CRC Handbook (from memory). */
export const waterMethanolSurfaceTensionNPerM = (methanolMassFraction: number): Solved<number> =>
  known(TENSION, methanolMassFraction);

/** Viscosity [Pa s] of a mix at 25 degC, methanol by mass [-]. Reason: `input-out-of-range`. Source: Melinder (2010); Mikhail & Kimel (1961). */
export const waterMethanolViscosityPaS = (methanolMassFraction: number): Solved<number> =>
  known(VISCOSITY, methanolMassFraction);
