/** Which nozzle for which share of the fuel, and what a nozzle does to charge temperature, lambda, knock and power. */
import { type Car, usualDropletDiameterM } from '../car/index.ts';
import { type Solved, solved, unsolved } from '../physics/index.ts';
import { type InjectionState, injectionStateAt } from './injection-state.ts';
import { matchCar } from './steady.ts';
import type { Conditions, MatchPoint } from './types.ts';

/** One engine speed with a nozzle, beside the same without. */
export interface NozzleEffect {
  readonly state: InjectionState;
  readonly powerW: number;
  /** With over without. */
  readonly chargeTemperatureChangeK: number;
  readonly powerChangeW: number;
  /**
   * Degrees of timing won at the knock limit; where the sheet types no timing, what the estimated timing gains, which best
   * torque may cap.
   */
  readonly knockGainDeg: number;
}

/** One nozzle over engine speed. */
export interface NozzleRow {
  readonly nozzleFlowM3PerS: number;
  readonly effects: readonly NozzleEffect[];
}

/** The car with a nozzle of its mix, pump and way; nought takes the injection out. */
export const fittedWithNozzle = (car: Car, nozzleFlowM3PerS: number, dropletTyped: boolean): Car => ({
  ...car,
  facts: { ...car.facts, hasInjection: nozzleFlowM3PerS > 0 },
  injection: {
    ...car.injection,
    nozzleFlowM3PerS,
    dropletDiameterM:
      dropletTyped || !(nozzleFlowM3PerS > 0)
        ? car.injection.dropletDiameterM
        : usualDropletDiameterM(
            nozzleFlowM3PerS,
            car.injection.pumpPressureGaugePa,
            car.injection.methanolMassFraction,
          ),
  },
});

const knockGain = (wet: MatchPoint, dry: MatchPoint): number =>
  wet.knockMarginDeg !== null && dry.knockMarginDeg !== null
    ? wet.knockMarginDeg - dry.knockMarginDeg
    : wet.sparkAdvanceDeg - dry.sparkAdvanceDeg;

export interface SizingOptions {
  readonly engineSpeedsRpm: readonly number[];
  /** True where the sheet types the droplets: then a larger nozzle keeps them. */
  readonly dropletTyped?: boolean;
}

/** Each nozzle matched at the engine speeds, beside the car without one. Speeds at which nothing is injected are left out. */
export const compareNozzles = (
  car: Car,
  conditions: Conditions,
  nozzlesM3PerS: readonly number[],
  { engineSpeedsRpm, dropletTyped = false }: SizingOptions,
): NozzleRow[] => {
  const dry = matchCar(fittedWithNozzle(car, 0, dropletTyped), conditions, { engineSpeedsRpm });
  const drySpeeds = new Map(dry.points.map((point) => [point.engineSpeedRpm, point]));
  return nozzlesM3PerS.map((nozzleFlowM3PerS) => {
    const fitted = fittedWithNozzle(car, nozzleFlowM3PerS, dropletTyped);
    const wet = matchCar(fitted, conditions, { engineSpeedsRpm });
    const effects = wet.points.flatMap((point): NozzleEffect[] => {
      const state = injectionStateAt(fitted, conditions, point);
      const without = drySpeeds.get(point.engineSpeedRpm);
      if (!state || !without) return [];
      return [
        {
          state,
          powerW: point.powerW,
          chargeTemperatureChangeK: point.chargeTemperatureK - without.chargeTemperatureK,
          powerChangeW: point.powerW - without.powerW,
          knockGainDeg: knockGain(point, without),
        },
      ];
    });
    return { nozzleFlowM3PerS, effects };
  });
};

/** What share of the fuel is wanted, by mass or by volume, at which engine speed. */
export interface WantedShare {
  readonly share: number;
  readonly by: 'mass' | 'volume';
  readonly engineSpeedRpm: number;
}

/** Largest nozzle looked at [m3/s]: 4 L/min. */
const LARGEST = 4e-3 / 60;

/**
 * Size of the nozzle that injects a wanted share of the fuel at an engine speed [m3/s at the pump pressure].
 * Reasons: `nothing-injected` (boost below the start of injection, or above the pump), `share-out-of-reach`.
 */
export const nozzleForShare = (
  car: Car,
  conditions: Conditions,
  wanted: WantedShare,
  dropletTyped = false,
): Solved<number> => {
  if (!(wanted.share > 0 && wanted.share <= 1)) {
    return unsolved('input-out-of-range', `A share of the fuel lies above 0 and up to 1; got ${wanted.share}.`);
  }
  const got = (nozzle: number): number | null => {
    const fitted = fittedWithNozzle(car, nozzle, dropletTyped);
    const [point] = matchCar(fitted, conditions, { engineSpeedsRpm: [wanted.engineSpeedRpm] }).points;
    const state = point ? injectionStateAt(fitted, conditions, point) : null;
    if (!state) return null;
    return wanted.by === 'mass' ? state.shareOfFuelByMass : state.shareOfFuelByVolume;
  };
  // The share is nearly in proportion to the nozzle: a few steps of that proportion settle it.
  let nozzle = 5e-6;
  for (let step = 0; step < 12; step++) {
    const share = got(nozzle);
    if (share === null || !(share > 0)) {
      return unsolved(
        'nothing-injected',
        `Nothing is injected at ${Math.round(wanted.engineSpeedRpm)} rpm: boost is below the start of injection or above what the pump delivers.`,
      );
    }
    const next = (nozzle * wanted.share) / share;
    if (next > LARGEST) {
      return unsolved(
        'share-out-of-reach',
        'No single nozzle up to 4 L/min injects that much; ask for a smaller share.',
      );
    }
    if (Math.abs(next / nozzle - 1) < 1e-4) return solved(next);
    nozzle = next;
  }
  return solved(nozzle);
};
