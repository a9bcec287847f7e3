/** The shape of the answer about the fuel and the injected mix: `boostwright fuel --json` and GET /api/builds/:buildId/fuel. Types only. */
import type { Band, BandedInjection, Conditions, FuelSheet, InjectionState, MixSheet } from '../match/index.ts';

/** What one nozzle does at one engine speed, the best estimate. */
export interface NozzleEffectView {
  readonly engineSpeedRpm: number;
  readonly boostPa: number;
  readonly injectionFlowKgPerS: number;
  readonly shareOfFuelByMass: number;
  readonly shareOfFuelByVolume: number;
  readonly lambdaUncorrected: number;
  readonly chargeTemperatureK: number;
  readonly chargeTemperatureChangeK: number;
  readonly knockGainDeg: number;
  readonly powerChangeW: number;
}

export interface NozzleView {
  readonly nozzleFlowM3PerS: number;
  readonly effects: readonly NozzleEffectView[];
}

/** The nozzle for a wanted share, or why there is none. */
export interface WantedNozzleView {
  readonly share: number;
  readonly by: 'mass' | 'volume';
  readonly engineSpeedRpm: number;
  readonly nozzleFlowM3PerS: number | null;
  readonly says: string;
}

export interface InjectionView {
  readonly nozzleFlowM3PerS: number;
  readonly pumpPressureGaugePa: number;
  readonly startBoostPa: number;
  readonly tankVolumeM3: number;
  readonly dropletDiameterM: number;
  /** True where the sheet types which share evaporates; else it is worked out from droplets and time. */
  readonly evaporatedShareTyped: boolean;
  /** Best estimate over engine speed, with what limits the drying. */
  readonly states: readonly InjectionState[];
  readonly bands: BandedInjection;
}

export interface FuelView {
  readonly schema: 'boostwright.fuel/1';
  readonly build: string;
  readonly conditions: Conditions;
  readonly fuel: FuelSheet;
  /** The mix of the sheet, or usual half-and-half where no injection is fitted (then `fitted` is false). */
  readonly mix: MixSheet & { readonly fitted: boolean };
  /** Absent where none is fitted, or where the engine is not turbocharged. */
  readonly injection?: InjectionView;
  readonly nozzles: readonly NozzleView[];
  readonly wanted?: WantedNozzleView;
  /** Pulls and minutes of full boost until the tank is empty. */
  readonly endurance?: { readonly pulls: Band; readonly fullBoostS: Band; readonly pullVolumeM3: Band };
  readonly problems: readonly string[];
  readonly cautions: readonly string[];
  /** What goes with a fuel that is tried on the page, by what is in it. */
  readonly cautionsWhenTried: Readonly<Record<'ethanol' | 'methanol' | 'toluene' | 'injection', readonly string[]>>;
}
