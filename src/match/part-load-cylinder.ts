/** The crank-angle cycle at part load: timing at best torque or at the knock limit, work by engine class where nothing is typed. */
import type { Car, LoadNumbers } from '../car/index.ts';
import { crankAngleCylinder } from './crank-angle-cylinder.ts';
import type { CylinderModel } from './cylinder.ts';

/** Where the search for best timing starts [deg]: the model answers with its best whatever it is asked at. */
const START_ADVANCE_DEG = 20;

/**
 * The cylinder of an engine at part load.
 *
 * Timing that nobody typed is best torque, or the knock limit with the maker's own offset where that comes first; direct
 * injection is worth octane. Where the sheet has no indicated efficiency the work is the cycle's times one factor for what
 * the cycle leaves out (blow-by, scatter from cycle to cycle).
 */
export const partLoadCylinder = (car: Car, numbers: LoadNumbers): CylinderModel => {
  const cycle = crankAngleCylinder(car, numbers.efficiencyTyped ? {} : { workOverCycle: numbers.workOverCycle });
  if (!cycle.knockLimit) return cycle;
  const { knockLimit } = cycle;
  return {
    burn: (charge, facts, sparkAdvanceDeg, out) => {
      const fuel = {
        ...facts,
        researchOctane: facts.researchOctane + numbers.octaneOfDirectInjection,
        // The maker's timing stands at its own distance from the borderline, whose doubt is that distance's.
        learnedKnockDeg: facts.learnedAdvanceDeg + numbers.timingOffsetDeg,
      };
      if (sparkAdvanceDeg !== null) return cycle.burn(charge, fuel, sparkAdvanceDeg, out);
      cycle.burn(charge, fuel, START_ADVANCE_DEG, out);
      cycle.burn(charge, fuel, out.bestTorqueAdvanceDeg, out);
      knockLimit(fuel, out);
      const limit = out.knockLimitAdvanceDeg;
      if (limit < out.bestTorqueAdvanceDeg) {
        cycle.burn(charge, fuel, Math.max(LATEST_DEG, limit), out);
        out.knockLimitAdvanceDeg = limit;
      }
      return out;
    },
  };
};

/** No engine computer fires later at steady load [deg before top dead centre] (common practice, no source). */
const LATEST_DEG = -8;
