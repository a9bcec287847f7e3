/** Fuel flow at part load, as `boostwright load --json` prints it. */
import {
  type Build,
  checkBuildOrEngine,
  LOAD_INPUT_NAMES,
  loadInputsOf,
  loadNumbersOf,
  type ResolvedBuild,
  resolveBuild,
} from '../car/index.ts';
import { type LoadGrid, loadMapWithBands, loadSpeed } from '../match/index.ts';
import { parsedSheet } from './builds.ts';
import { matchCautions } from './cautions.ts';
import type { LoadView } from './load-api.ts';
import type { ModelRequest } from './model-request.ts';
import { SEED } from './shares.ts';

/** Engines solved for the bands when nothing is said. */
const USUAL_LOAD_SAMPLES = 128;
const SPEED_STEP_RPM = 500;
const SLOWEST_RPM = 1000;
/** Torques of the usual grid, as shares of the most that the engine has at any of its speeds. */
const TORQUE_SHARES = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9];

/**
 * Reads a build sheet or an engine sheet, naturally aspirated too; `name` is how to call it in sentences.
 * @throws BadInput with every problem and its place.
 */
export const readLoadSheet = (text: string, name: string): Build => parsedSheet(text, name, checkBuildOrEngine);

export interface LoadRequest extends ModelRequest {
  /** Every 500 rpm when absent. */
  readonly engineSpeedsRpm?: readonly number[] | undefined;
  /** Tenths of the most torque when absent, as far as each speed has them. */
  readonly torquesNm?: readonly number[] | undefined;
  readonly samples?: number | undefined;
}

/** Part load over a grid, with bands. Seeded: the same request gives the same answer. */
export const loadOf = ({ build, conditions, engineSpeedsRpm, torquesNm, samples }: LoadRequest): LoadView => {
  const resolved = resolveBuild(build);
  const { revLimitRpm } = resolved.car.engine;
  const steps = Math.max(1, Math.floor((revLimitRpm - SLOWEST_RPM) / SPEED_STEP_RPM) + 1);
  const speeds = engineSpeedsRpm ?? Array.from({ length: steps }, (_, i) => SLOWEST_RPM + i * SPEED_STEP_RPM);
  const grid: LoadGrid = torquesNm
    ? { engineSpeedsRpm: speeds, torquesNm }
    : { points: usualPoints(resolved, conditions, speeds) };
  const map = loadMapWithBands(resolved, conditions, grid, { samples: samples ?? USUAL_LOAD_SAMPLES, seed: SEED });
  const inputs = loadInputsOf(resolved.car);
  const natural = resolved.car.facts.aspiration === 'natural';
  return {
    schema: 'boostwright.load/1',
    build: build.name,
    ...map,
    assumed: LOAD_INPUT_NAMES.filter((name) => !natural || name !== 'wastegateUse').map((quantity) => {
      const { about, valueSi, sdSi, source } = inputs[quantity];
      return { quantity, about, valueSi, sdSi, source };
    }),
    cautions: matchCautions(resolved.car),
  };
};

/** The usual torques at each speed, as far as its full load goes; one point at least, so that what is out of reach is said. */
const usualPoints = (
  resolved: ResolvedBuild,
  conditions: ModelRequest['conditions'],
  speeds: readonly number[],
): { readonly engineSpeedRpm: number; readonly torqueNm: number }[] => {
  const numbers = loadNumbersOf(resolved);
  const full = speeds.map((rpm) => ({
    rpm,
    torqueNm: loadSpeed(resolved.car, numbers, conditions, rpm).full.torqueNm,
  }));
  const most = Math.max(...full.map(({ torqueNm }) => torqueNm));
  const torques = [...new Set(TORQUE_SHARES.map((share) => Math.max(5, 5 * Math.round((share * most) / 5))))];
  return full.flatMap(({ rpm, torqueNm: reach }) => {
    const reached = torques.filter((torqueNm) => torqueNm <= reach);
    return (reached.length > 0 ? reached : [5]).map((torqueNm) => ({ engineSpeedRpm: rpm, torqueNm }));
  });
};
