/** The shape of a compressor map read from a file: `boostwright map --json`. Types only. */
import type { CompressorMapData } from '../car/index.ts';
import type { MapNote } from '../logs/index.ts';

/** One speed line against the fit. Pressure ratio relative, flow over the line's choke flow, efficiency in shares of one. */
export interface MapLineView {
  readonly shaftSpeedRpm: number;
  readonly points: number;
  readonly surgeFlowKgPerS: number;
  readonly chokeFlowKgPerS: number;
  readonly rmsPressureRatio: number;
  readonly worstPressureRatio: number;
  readonly rmsFlow: number;
  readonly worstFlow: number;
  readonly rmsEfficiency: number;
  readonly worstEfficiency: number;
  /** Flows that the points reach over, as shares of the choke flow. */
  readonly fromChokeShare: number;
  readonly toChokeShare: number;
  /** Steps at which the pressure ratio as given rises though the line falls by then. */
  readonly rises: number;
}

export interface MapView {
  readonly schema: 'boostwright.map/1';
  readonly file: string;
  readonly rowsRead: number;
  readonly said: {
    readonly flowUnit: string;
    readonly speedUnit: string;
    readonly pressureRatioIs: 'total to total' | 'total to static' | 'not said';
    readonly referenceFrom: 'file' | 'asked' | 'not needed';
  };
  readonly referenceTemperatureK: number;
  readonly referencePressurePa: number;
  readonly fit: {
    readonly points: number;
    readonly rmsPressureRatio: number;
    readonly worstPressureRatio: number;
    readonly rmsEfficiency: number;
    readonly worstEfficiency: number;
    /** What the misfit adds to the plus-minus of the model, one standard deviation, relative. */
    readonly flowDoubt: number;
    readonly efficiencyDoubt: number;
    readonly speedDoubt: number;
  };
  readonly lines: readonly MapLineView[];
  readonly notes: readonly MapNote[];
  /** For the build sheet, at turbocharger.compressorMap. */
  readonly compressorMap: CompressorMapData;
}
