/** Operating point on the build's compressor map by straight lines between its speed lines. */
import type { CompressorMapSi } from '../../car/index.ts';
import { linearCurve } from '../../physics/index.ts';
import type { ReviewContext } from '../context.ts';
import { runningMean } from './spans.ts';

export interface MapPoint {
  /** Corrected shaft speed [rpm]. */
  readonly correctedShaftSpeedRpm: number;
  readonly efficiency: number;
  /** Flow over the choke flow at that speed. */
  readonly chokeShare: number;
  /** True when the point lies above the fastest line. */
  readonly aboveMap: boolean;
}

interface Line {
  readonly speedRpm: number;
  readonly chokeKgPerS: number;
  readonly ratioAt: (flowKgPerS: number) => number;
  readonly efficiencyAt: (flowKgPerS: number) => number;
}

/** Reader of a map: point for corrected flow [kg/s] and total pressure ratio. Linear in flow, and in sqrt(ratio - 1) between lines (speed goes about so). */
export const mapReader = (map: CompressorMapSi): ((flowKgPerS: number, pressureRatio: number) => MapPoint | null) => {
  const lines: Line[] = map.lines.flatMap((line) => {
    const flows = line.points.map(([flow]) => flow);
    const choke = line.chokeFlow ?? flows.at(-1)! * 1.02;
    const ratio = linearCurve(
      [...flows, Math.max(choke, flows.at(-1)! * 1.001)],
      [...line.points.map(([, value]) => value), 1],
    );
    const efficiency = linearCurve(
      flows,
      line.points.map(([, , value]) => value),
    );
    if (!ratio.ok || !efficiency.ok) return [];
    return [
      { speedRpm: line.shaftSpeedRpm, chokeKgPerS: choke, ratioAt: ratio.value.at, efficiencyAt: efficiency.value.at },
    ];
  });
  lines.sort((a, b) => a.speedRpm - b.speedRpm);
  return (flow, pressureRatio) => {
    if (lines.length === 0 || !(flow > 0) || !(pressureRatio > 1)) return null;
    const wanted = Math.sqrt(pressureRatio - 1);
    let below = { speed: 0, height: 0, efficiency: lines[0]!.efficiencyAt(flow), choke: lines[0]!.chokeKgPerS };
    for (const line of lines) {
      const height = Math.sqrt(Math.max(0, line.ratioAt(flow) - 1));
      const here = { speed: line.speedRpm, height, efficiency: line.efficiencyAt(flow), choke: line.chokeKgPerS };
      if (height >= wanted && height > below.height) {
        const share = (wanted - below.height) / (height - below.height);
        const mix = (a: number, b: number) => a + share * (b - a);
        return {
          correctedShaftSpeedRpm: mix(below.speed, here.speed),
          efficiency: mix(below.efficiency, here.efficiency),
          chokeShare: flow / mix(below.choke, here.choke),
          aboveMap: false,
        };
      }
      below = here;
    }
    // Above the fastest line: pressure ratio less one goes with the square of speed, choke flow about with speed.
    const last = lines.at(-1)!;
    const scale = below.height > 0 ? wanted / below.height : 1.1;
    return {
      correctedShaftSpeedRpm: last.speedRpm * Math.min(1.3, scale),
      efficiency: below.efficiency,
      chokeShare: flow / (last.chokeKgPerS * Math.min(1.1, scale)),
      aboveMap: true,
    };
  };
};

export interface CompressorTrack {
  readonly points: readonly (MapPoint | null)[];
  readonly correctedFlowKgPerS: Float64Array;
  readonly pressureRatio: Float64Array;
  readonly airFlowKgPerS: Float64Array;
  readonly inletTemperatureK: number;
  /** Corrected shaft speed times this is shaft speed. */
  readonly speedFactor: number;
  readonly flowFrom: 'air-flow' | 'speed-density';
}

const USUAL_INLET_K = 293.15;

/** The compressor's point on the map over the log's full-load stretches; null without map, pressure or any air flow. */
export const compressorTrack = (context: ReviewContext): CompressorTrack | null =>
  context.kept('compressor track', () => {
    const { car } = context;
    const manifold = context.on('manifold-pressure');
    const speed = context.on('engine-speed');
    const bySpeed = context.speedDensityKgPerS();
    if (!car?.compressorMap || !manifold || !speed || !bySpeed) return null;
    const metered = context.on('air-flow');
    // The meter sees the compressor's own flow (leaks included); where it is silent or at its ceiling the engine's demand is used.
    const flow = runningMean(
      bySpeed.map((value, i) => {
        const meter = metered?.[i] ?? Number.NaN;
        return Number.isFinite(meter) && meter > value ? meter : value;
      }),
      context.samples(0.1),
    );
    const outlet = context.on('compressor-outlet-pressure');
    const inletTemperatureK = context.ambient?.temperatureK ?? USUAL_INLET_K;
    const { referenceTemperatureK, referencePressurePa } = car.compressorMap;
    const read = mapReader(car.compressorMap);
    const { referenceFlowKgPerS, pressureDropPa } = car.chargeCooler;
    const size = context.timesS.length;
    const points: (MapPoint | null)[] = new Array(size).fill(null);
    const corrected = new Float64Array(size).fill(Number.NaN);
    const ratios = new Float64Array(size).fill(Number.NaN);
    for (const load of context.loads) {
      for (let i = load.from; i < load.to; i++) {
        const share = flow[i]! / referenceFlowKgPerS;
        const inletPa = context.barometricPressurePa - car.intake.filterPressureDropPa * share * share;
        const outletPa =
          outlet && Number.isFinite(outlet[i]!) ? outlet[i]! : manifold[i]! + pressureDropPa * share * share;
        ratios[i] = outletPa / inletPa;
        corrected[i] =
          (flow[i]! * Math.sqrt(inletTemperatureK / referenceTemperatureK)) / (inletPa / referencePressurePa);
        points[i] = read(corrected[i]!, ratios[i]!);
      }
    }
    return {
      points,
      correctedFlowKgPerS: corrected,
      pressureRatio: ratios,
      airFlowKgPerS: flow,
      inletTemperatureK,
      speedFactor: Math.sqrt(inletTemperatureK / referenceTemperatureK),
      flowFrom: metered ? 'air-flow' : 'speed-density',
    };
  });
