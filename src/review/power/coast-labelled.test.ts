/** Road load from the coast-downs of the labelled logs against the true car. Needs the logs beside the checkout. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, it } from 'vitest';
import { checkBuild, resolveBuild } from '../../car/index.ts';
import { readLog } from '../../logs/index.ts';
import { roadLoadSeen } from './road-load.ts';

const FOLDER = resolve(import.meta.dirname, '../../../../shared/logs/mixed');
const SCRIPT = pathToFileURL(resolve(import.meta.dirname, '../../../scripts/labelled-build.mjs')).href;
const present = existsSync(FOLDER);
const GRAVITY = 9.80665;

interface Truth {
  readonly log: string;
  readonly events: { readonly kind: string }[];
  readonly conditions: { readonly rho: number; readonly wind: number; readonly grade: number };
  readonly true_parameters: { readonly mass_kg: number; readonly cda_m2: number; readonly crr: number };
  readonly told_car: { readonly vehicle: { readonly crr2: number } };
  readonly told_compressor_map: string;
}

const { buildFromToldCar } = (await import(/* @vite-ignore */ SCRIPT)) as {
  buildFromToldCar: (told: unknown, map: unknown) => unknown;
};
const jsonOf = (name: string) => JSON.parse(readFileSync(join(FOLDER, name), 'utf8'));

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
    for (const name of readdirSync(FOLDER).filter((file) => file.endsWith('.truth.json'))) {
      const truth: Truth = jsonOf(name);
      const build = checkBuild(buildFromToldCar(truth.told_car, jsonOf(truth.told_compressor_map)));
      const read = readLog(readFileSync(join(FOLDER, truth.log)));
      if (!build.ok || !read.ok) throw new Error(name);
      const { seen } = roadLoadSeen(read.log, resolveBuild(build.build), new Set());
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
