/** Road load from the coast-downs of the labelled logs against the true car. Needs the logs beside the checkout. */
import { existsSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { LABELLED, labelledLogs, readBytes, type Told } from '../../../tests/labelled-logs.ts';
import { readLog } from '../../logs/index.ts';
import { roadLoadSeen } from './road-load.ts';

const present = existsSync(LABELLED);
const GRAVITY = 9.80665;

interface Truth extends Told {
  readonly events: { readonly kind: string }[];
  readonly conditions: { readonly rho: number; readonly wind: number; readonly grade: number };
  readonly true_parameters: { readonly mass_kg: number; readonly cda_m2: number; readonly crr: number };
  readonly told_car: { readonly vehicle: { readonly crr2: number } };
}

describe('coast-downs of labelled logs', () => {
  if (!present) {
    console.info('not run: no labelled logs beside the checkout (../shared/logs)');
    it('says plainly that the logs are not there', () => {
      expect(present).toBe(false);
    });
    return;
  }
  it('are found where the label has one and nowhere else, with forces within 4 % once slope and wind are told', () => {
    let coasted = 0;
    for (const { folder, name, truth, resolved } of labelledLogs<Truth>(() => true, ['mixed'])) {
      const read = readLog(readBytes(folder, truth));
      if (!read.ok) throw new Error(name);
      const { seen } = roadLoadSeen(read.log, resolved, new Set());
      const labelled = truth.events.some(({ kind }) => kind === 'coast');
      expect(seen !== null, name).toBe(labelled);
      if (!seen) continue;
      coasted++;
      const { mass_kg, cda_m2, crr } = truth.true_parameters;
      const { rho, wind, grade } = truth.conditions;
      const { fromMPerS, toMPerS } = seen.coastDowns[0]!;
      // The label's wind falls on both terms as in windTerms: rho CdA w v over the speeds of the coast-down.
      const byWind = rho * cda_m2 * wind;
      const constant = mass_kg * GRAVITY * (crr + grade) + (byWind * fromMPerS * toMPerS) / (fromMPerS + toMPerS);
      const quadratic =
        (rho / 2) * cda_m2 + mass_kg * GRAVITY * truth.told_car.vehicle.crr2 + byWind / (fromMPerS + toMPerS);
      console.info(
        `${name}: F0 ${seen.constantForceN.p50.toFixed(1)} N of ${constant.toFixed(1)}, ` +
          `F2 ${seen.quadraticForceNPerM2S2.p50.toFixed(4)} of ${quadratic.toFixed(4)} N s2/m2`,
      );
      expect(Math.abs(seen.constantForceN.p50 / constant - 1), name).toBeLessThan(0.04);
      expect(Math.abs(seen.quadraticForceNPerM2S2.p50 / quadratic - 1), name).toBeLessThan(0.04);
      for (const [band, true_] of [
        [seen.dragAreaM2, cda_m2],
        [seen.usedDragAreaM2, cda_m2],
        [seen.rollingResistance, crr],
        [seen.usedRollingResistance, crr],
      ] as const) {
        expect(true_, name).toBeGreaterThan(band.p10);
        expect(true_, name).toBeLessThan(band.p90);
      }
    }
    expect(coasted).toBeGreaterThan(0);
  });
});
