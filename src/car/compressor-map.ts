/** The build sheet's compressor map in SI, and how far each of its numbers may be off. */
import { fittedCompressorMap, toSi, totalFromStaticOutlet } from '../physics/index.ts';
import type { CompressorMapSi, Input } from './car.ts';
import type { Source } from './quantity.ts';
import type { CompressorMapData } from './turbo-schema.ts';

const inSi = (map: CompressorMapData): CompressorMapSi => {
  const {
    flowUnit,
    flowSpread: _flow,
    efficiencySpread: _efficiency,
    speedSpread: _speed,
    surgeSpread: _surge,
    pressureRatioIs,
    outletDiameterMm,
    lines,
    ...rest
  } = map;
  const kgPerS = (flow: number) => toSi(flow, flowUnit);
  const reference = { temperatureK: map.referenceTemperatureK, pressurePa: map.referencePressurePa };
  const point = ([flow, ratio, efficiency]: readonly [number, number, number]): [number, number, number] => {
    const own = kgPerS(flow);
    if (pressureRatioIs !== 'total to static' || outletDiameterMm === undefined || ratio <= 1)
      return [own, ratio, efficiency];
    const total = totalFromStaticOutlet(own, ratio, efficiency, outletDiameterMm / 1000, reference);
    return total.ok
      ? [own, total.value.pressureRatio, Math.min(0.95, total.value.efficiency)]
      : [own, ratio, efficiency];
  };
  return {
    ...rest,
    flowUnit: 'kg/s',
    pressureRatioIs: 'total to total',
    lines: lines
      .map((line) => ({
        ...line,
        ...(line.surgeFlow === undefined ? {} : { surgeFlow: kgPerS(line.surgeFlow) }),
        ...(line.chokeFlow === undefined ? {} : { chokeFlow: kgPerS(line.chokeFlow) }),
        points: line.points.map(point).sort((a, b) => a[0] - b[0]),
      }))
      .sort((a, b) => a.shaftSpeedRpm - b.shaftSpeedRpm),
  };
};

const made = new WeakMap<CompressorMapData, CompressorMapSi>();

/**
 * A map in SI, lines and points in rising order, pressures total to total. Points whose outlet would be sonic keep their
 * ratio. The same data gives the same object, so that what is fitted to it is fitted once however many builds carry it.
 */
export const compressorMapSi = (map: CompressorMapData): CompressorMapSi => {
  const known = made.get(map) ?? inSi(map);
  made.set(map, known);
  return known;
};

/** What a map's factors are called among the inputs. */
export const MAP_INPUTS = {
  flow: 'turbocharger.compressorMap.flow',
  efficiency: 'turbocharger.compressorMap.efficiency',
  speed: 'turbocharger.compressorMap.speed',
  surge: 'turbocharger.compressorMap.surge',
} as const;

/**
 * How far a map holds for the wheel in the car, relative, by where the map is from: one wheel differs from the next, and the
 * engine's pulses and pipes from the test stand (house convention, no source). Of an estimated map: as far as maps estimated
 * from wheel sizes lay from the maps of the labelled logs (docs/scores.md).
 */
const SPREADS: Readonly<Record<keyof typeof MAP_INPUTS, Readonly<Record<Source, number>>>> = {
  flow: { measured: 0.02, logged: 0.02, 'data-sheet': 0.025, estimate: 0.08 },
  efficiency: { measured: 0.015, logged: 0.015, 'data-sheet': 0.02, estimate: 0.05 },
  speed: { measured: 0.005, logged: 0.01, 'data-sheet': 0.007, estimate: 0.04 },
  surge: { measured: 0.04, logged: 0.04, 'data-sheet': 0.05, estimate: 0.2 },
};

const ABOUT = {
  flow: 'Compressor map, flow',
  efficiency: 'Compressor map, efficiency',
  speed: 'Compressor map, shaft speed',
  surge: 'Compressor map, surge flow',
} as const;

/**
 * The factors on a map as inputs. A typed plus-minus counts instead of the usual one; what the fit leaves in doubt adds to
 * either in squares, since it is an error of its own: a map whose points scatter gives wider bands.
 */
export const mapInputs = (
  data: CompressorMapData | undefined,
  map: CompressorMapSi | null,
  relativeOf: (text: string | undefined) => number | undefined,
): Input[] => {
  const source: Source = data?.source ?? 'estimate';
  const fit = map ? fittedCompressorMap(map).fit : null;
  const doubt = {
    flow: fit?.flowDoubt ?? 0,
    efficiency: fit?.efficiencyDoubt ?? 0,
    speed: fit?.speedDoubt ?? 0,
    surge: 0,
  };
  const typed = {
    flow: data?.flowSpread,
    efficiency: data?.efficiencySpread,
    speed: data?.speedSpread,
    surge: data?.surgeSpread,
  };
  return (Object.keys(MAP_INPUTS) as (keyof typeof MAP_INPUTS)[]).map((name) => ({
    path: MAP_INPUTS[name],
    about: ABOUT[name],
    unit: '%',
    valueSi: 1,
    sdSi: Math.hypot(relativeOf(typed[name]) ?? SPREADS[name][source], doubt[name]),
    source,
    estimated: !data,
  }));
};
