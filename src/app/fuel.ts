/** The fuel of a build and its injected mix, as `boostwright fuel --json` prints it. */
import {
  type Build,
  type BuildResult,
  resolveBuild,
  type WhatIfFuel,
  type WhatIfMix,
  withFuel,
  withMix,
} from '../car/index.ts';
import {
  compareNozzles,
  fuelSheetOf,
  type InjectionState,
  injectionStateAt,
  injectionWithBands,
  matchCar,
  mixSheetOf,
  type NozzleRow,
  nozzleForShare,
} from '../match/index.ts';
import { fuelCautions, TRIED_FUEL_CAUTIONS } from './cautions.ts';
import type { FuelView, InjectionView, NozzleView, WantedNozzleView } from './fuel-api.ts';
import { matchSpeedsRpm } from './match.ts';
import type { ModelRequest } from './model-request.ts';
import { BadInput } from './problems.ts';
import { SEED } from './shares.ts';

/** Cars matched for the bands of the injection when nothing is said. */
const USUAL_FUEL_SAMPLES = 64;
/** Step of engine speed that is fine enough for the mix [rpm]. */
const STEP_RPM = 250;

export interface FuelRequest extends ModelRequest {
  /** Nozzles to compare [m3/s at the pump pressure]. */
  readonly nozzlesM3PerS?: readonly number[] | undefined;
  /** At the engine speed of the most power when none is given. */
  readonly wanted?:
    | { readonly share: number; readonly by: 'mass' | 'volume'; readonly engineSpeedRpm?: number | undefined }
    | undefined;
  readonly samples?: number | undefined;
}

const checked = (result: BuildResult, what: string): Build => {
  if (result.ok) return result.build;
  const [first] = result.problems;
  throw new BadInput(
    'bad-what-if',
    `${what} cannot be: ${first?.path ?? ''} ${first?.says ?? ''}`.trim(),
    result.problems,
  );
};

/**
 * The build with a tried fuel and a tried mix.
 * @throws BadInput where the shares cannot be.
 */
export const tried = (build: Build, fuel: WhatIfFuel | undefined, mix: WhatIfMix | undefined): Build => {
  const fuelled = fuel ? checked(withFuel(build, fuel), 'That fuel') : build;
  return mix ? checked(withMix(fuelled, mix), 'That mix') : fuelled;
};

const nozzleView = ({ nozzleFlowM3PerS, effects }: NozzleRow): NozzleView => ({
  nozzleFlowM3PerS,
  effects: effects.map(({ state, chargeTemperatureChangeK, knockGainDeg, powerChangeW }) => ({
    engineSpeedRpm: state.engineSpeedRpm,
    boostPa: state.boostPa,
    injectionFlowKgPerS: state.injectionFlowKgPerS,
    shareOfFuelByMass: state.shareOfFuelByMass,
    shareOfFuelByVolume: state.shareOfFuelByVolume,
    lambdaUncorrected: state.lambdaUncorrected,
    chargeTemperatureK: state.chargeAfterK,
    chargeTemperatureChangeK,
    knockGainDeg,
    powerChangeW,
  })),
});

/** Fuel, mix, sizing and endurance. Seeded: the same request gives the same answer. */
export const fuelOf = ({ build, conditions, nozzlesM3PerS, wanted, samples }: FuelRequest): FuelView => {
  const resolved = resolveBuild(build);
  const { car } = resolved;
  const dropletTyped = build.injection?.dropletDiameter !== undefined;
  const engineSpeedsRpm = matchSpeedsRpm(car).filter((rpm, i, all) => rpm % STEP_RPM === 0 || i === all.length - 1);
  const turbocharged = car.facts.aspiration === 'turbocharged';
  const fitted = car.facts.hasInjection;
  const problems: string[] = [];
  const base = {
    schema: 'boostwright.fuel/1' as const,
    build: build.name,
    conditions,
    fuel: fuelSheetOf(resolved),
    mix: { ...mixSheetOf(resolved), fitted },
    cautions: fuelCautions(car),
    cautionsWhenTried: TRIED_FUEL_CAUTIONS,
  };
  const asks = (nozzlesM3PerS?.length ?? 0) > 0 || wanted !== undefined;
  if (!turbocharged) {
    if (fitted || asks) problems.push('Sizing and endurance follow boost; this engine is not turbocharged.');
    return { ...base, nozzles: [], problems };
  }
  let injection: InjectionView | undefined;
  let endurance: FuelView['endurance'];
  if (fitted) {
    const matched = matchCar(car, conditions, { engineSpeedsRpm });
    const states = matched.points
      .map((point) => injectionStateAt(car, conditions, point))
      .filter((state): state is InjectionState => state !== null);
    const bands = injectionWithBands(resolved, conditions, {
      engineSpeedsRpm,
      samples: samples ?? USUAL_FUEL_SAMPLES,
      seed: SEED,
    });
    if (states.length === 0) {
      problems.push(
        'Nothing is injected at any engine speed: boost stays below the start of injection, or above what the pump delivers.',
      );
    }
    injection = {
      nozzleFlowM3PerS: car.injection.nozzleFlowM3PerS,
      pumpPressureGaugePa: car.injection.pumpPressureGaugePa,
      startBoostPa: car.injection.startBoostGaugePa,
      tankVolumeM3: car.injection.tankVolumeM3,
      dropletDiameterM: car.injection.dropletDiameterM,
      evaporatedShareTyped: car.facts.workedOutEvaporatedShare === null,
      states,
      bands,
    };
    const { pulls, fullBoostS, pullVolumeM3 } = bands;
    if (pulls && fullBoostS && pullVolumeM3) endurance = { pulls, fullBoostS, pullVolumeM3 };
  }
  const rows = asks ? compareNozzles(car, conditions, nozzlesM3PerS ?? [], { engineSpeedsRpm, dropletTyped }) : [];
  for (const { nozzleFlowM3PerS, effects } of rows) {
    if (effects.length === 0)
      problems.push(`A nozzle of ${Math.round(nozzleFlowM3PerS * 6e7)} cm3/min injects nothing at any engine speed.`);
  }
  let wantedNozzle: WantedNozzleView | undefined;
  if (wanted) {
    const engineSpeedRpm = wanted.engineSpeedRpm ?? speedOfMostPower(build, conditions, engineSpeedsRpm);
    const size = nozzleForShare(car, conditions, { ...wanted, engineSpeedRpm }, dropletTyped);
    wantedNozzle = {
      share: wanted.share,
      by: wanted.by,
      engineSpeedRpm,
      nozzleFlowM3PerS: size.ok ? size.value : null,
      says: size.ok ? 'Rated flow at the pump pressure, of the mix.' : size.reason.says,
    };
  }
  return {
    ...base,
    ...(injection ? { injection } : {}),
    nozzles: rows.map(nozzleView),
    ...(wantedNozzle ? { wanted: wantedNozzle } : {}),
    ...(endurance ? { endurance } : {}),
    problems,
  };
};

const speedOfMostPower = (
  build: Build,
  conditions: ModelRequest['conditions'],
  engineSpeedsRpm: readonly number[],
): number => {
  const { points } = matchCar(resolveBuild(build).car, conditions, { engineSpeedsRpm });
  return points.reduce((best, point) => (point.powerW > best.powerW ? point : best), points[0]!).engineSpeedRpm;
};
