/** A resolved car: every number the model needs, plain and SI, plus the list of what is uncertain about it. */

import type { CarNumbers } from './fields.ts';
import type { Source, Uncertain } from './quantity.ts';
import type { CompressorMapData } from './turbo-schema.ts';

/** A curve in SI: `at` rises, `values` beside it. */
export interface Curve {
  readonly at: readonly number[];
  readonly values: readonly number[];
}

/** What about the car is not a number with a plus-minus. */
export interface CarFacts {
  readonly name: string;
  readonly cylinders: number;
  readonly layout: 'inline' | 'vee' | 'flat';
  readonly valvesPerCylinder: number;
  readonly ignition: 'spark' | 'compression';
  readonly fuelKind: 'petrol' | 'ethanol blend' | 'blend' | 'methanol' | 'diesel';
  /** The pump petrol that a blend starts from; usual petrol where nobody says. */
  readonly petrolAsSold: {
    readonly researchOctane: number;
    readonly motorOctane: number;
    /** By volume, 0..1. */
    readonly ethanolContent: number;
  };
  /** Properties of the fuel that follow from its shares (nobody typed them), so that they move with the shares. */
  readonly fuelFollowsShares: readonly string[];
  readonly injectorCount: number;
  readonly regulatorReferenced: boolean;
  readonly airMetering: 'airflow meter' | 'speed-density';
  readonly speedSource: 'driven wheel' | 'undriven wheel' | 'gearbox' | 'satellite';
  readonly driven: 'front' | 'rear' | 'all';
  readonly gearRatios: readonly number[];
  readonly tyreSize: string | null;
  readonly hasInjection: boolean;
  /**
   * Null where the sheet says which share of the mist evaporates. Else that share is worked out from droplets and time at
   * each state, times `injection.evaporatedShare` over this number (its value before any sample moved it).
   */
  readonly workedOutEvaporatedShare: number | null;
  readonly aspiration: 'turbocharged' | 'natural';
  readonly fuelInjection: 'port' | 'direct' | 'not said';
  /** What lets boost go when the throttle shuts. A recirculating valve when nobody said: what road cars usually have. */
  readonly bypassValve: 'recirculating' | 'atmospheric' | 'none';
  /** False where {@link bypassValve} is taken for granted. */
  readonly bypassSaid: boolean;
  readonly camPhasing: 'none' | 'intake' | 'both' | 'not said';
}

/** Compressor map in SI: corrected flow kg/s against the map's own reference state, pressures total to total. */
export interface CompressorMapSi
  extends Omit<
    CompressorMapData,
    | 'flowUnit'
    | 'flowSpread'
    | 'efficiencySpread'
    | 'speedSpread'
    | 'surgeSpread'
    | 'pressureRatioIs'
    | 'outletDiameterMm'
  > {
  readonly flowUnit: 'kg/s';
  readonly pressureRatioIs: 'total to total';
}

export interface Car extends CarNumbers {
  readonly facts: CarFacts;
  readonly curves: {
    readonly volumetricEfficiency: Curve;
    readonly effectiveness: Curve;
    /** Absolute [Pa], or gauge [Pa] when `boostIsGauge`. */
    readonly boostTarget: Curve;
    readonly boostIsGauge: boolean;
    readonly lambdaTarget: Curve;
    /** [deg before top dead centre], or null: estimated from the fuel. */
    readonly sparkAdvance: Curve | null;
  };
  /** null: estimate it from the wheel sizes. */
  readonly compressorMap: CompressorMapSi | null;
  /** Factors on the map's flow, efficiency, shaft speed and surge flow, 1 unless sampled or learned. */
  readonly compressorFlowScale: number;
  readonly compressorEfficiencyScale: number;
  readonly compressorSpeedScale: number;
  readonly compressorSurgeScale: number;
}

/** One uncertain input of the model. */
export interface Input {
  /** Path in the build file, like `fuelSystem.injectorFlow`. */
  readonly path: string;
  readonly about: string;
  /** Unit it is usually written in. */
  readonly unit: string;
  readonly valueSi: number;
  readonly sdSi: number;
  readonly source: Source;
  /** True when nobody typed it: an estimate by engine class. */
  readonly estimated: boolean;
}

/** A build made whole. `quantities` has every number with its plus-minus, by path. */
export interface ResolvedBuild {
  readonly car: Car;
  readonly inputs: readonly Input[];
  readonly quantities: Readonly<
    Record<string, Uncertain & { readonly unit: string; readonly estimated: boolean; readonly about: string }>
  >;
}
