/** Charge temperature over repeated pulls: the same pull again and again, with the core as each leaves it. */
import { curveAt, type Prepared } from '../prepare.ts';
import { coldConductanceWPerK, coreAfter } from './core.ts';
import type { PullRecord } from './record.ts';

/** Highest charge temperature of one of the pulls, and the core when it ended [K]. */
export interface SoakedPull {
  readonly highestChargeK: number;
  readonly coreK: number;
}

/**
 * Runs the core along `pulls` repeats of a recorded pull with `pauseS` of cruising at its first speed between them.
 * What flows in and how hot is taken from the record: the core changes it little (2 % of flow for 10 K).
 */
export const repeatedPulls = (
  prepared: Prepared,
  record: PullRecord,
  pulls: number,
  pauseS: number,
  startCoreK: number,
): SoakedPull[] => {
  const { car, conditions, airSpecificHeat: cp } = prepared;
  const cooler = car.chargeCooler;
  const { timesS, roadSpeedsMPerS, airFlowsKgPerS, outletTemperaturesK, sprayCoolingK } = record;
  const ambientK = conditions.ambientTemperatureK;
  let core = startCoreK;
  const out: SoakedPull[] = [];
  for (let pull = 0; pull < pulls; pull++) {
    let highest = 0;
    for (let i = 1; i < timesS.length; i++) {
      const air = airFlowsKgPerS[i]!;
      const share = Math.min(0.98, Math.max(0, curveAt(car.curves.effectiveness, air)));
      const t2 = outletTemperaturesK[i]!;
      core = coreAfter(
        core,
        cooler.coreHeatCapacityJPerK,
        air * cp * share,
        t2,
        coldConductanceWPerK(cooler, roadSpeedsMPerS[i]!),
        ambientK,
        timesS[i]! - timesS[i - 1]!,
      );
      highest = Math.max(highest, t2 - share * (t2 - core) - sprayCoolingK[i]!);
    }
    out.push({ highestChargeK: highest, coreK: core });
    core = coreAfter(
      core,
      cooler.coreHeatCapacityJPerK,
      0,
      ambientK,
      coldConductanceWPerK(cooler, roadSpeedsMPerS[0] ?? 0),
      ambientK,
      pauseS,
    );
  }
  return out;
};
