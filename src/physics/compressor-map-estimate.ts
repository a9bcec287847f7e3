/**
 * A compressor map estimated from wheel sizes alone, for a car whose map nobody has: wide, and marked as an estimate.
 *
 * Laws: Euler work of a backswept wheel falls with flow (Watson & Janota, Turbocharging the IC Engine (1982) ch. 3);
 * the inducer chokes in its own rotating frame (Dixon & Hall, Fluid Mechanics and Thermodynamics of Turbomachinery,
 * sect. 7.7); best efficiency grows with size (usual 70 to 78 %). Shares without a source are common proportions of
 * road-car wheels, no source.
 */
import { type CompressorLine, MAP_EXPONENT } from './compressor-line-fit.ts';
import type { MapScale } from './compressor-map.ts';
import { fitCompressorMap } from './compressor-map-fit.ts';
import type { CompressorSurface } from './compressor-surface.ts';

const REFERENCE = { temperatureK: 298, pressurePa: 100e3, exducerM: 0.055, trim: 0.55, tipSpeedMPerS: 540 } as const;
const GAS = { k: 1.4, r: 287.05 } as const;
/** Throat of the inducer over its full circle, less hub, blades and boundary layers, plus what the shroud slot passes (common practice, no source). */
const THROAT_SHARE = 0.63;
/** Right end of a slow line over speed, as a multiple of the fastest line's choke flow over its speed (common practice, no source). */
const SLOW_END = 1.5;
/** Mean radius of the inducer, at which it meets the air, over its tip radius. */
const MEAN_RADIUS_SHARE = 0.72;

/** Choke flow [kg/s] of a wheel at the reference state and a tip speed. Source: Dixon & Hall eq. for choking in the rotor. */
const chokeFlow = (inducerM: number, exducerM: number, tipSpeedMPerS: number): number => {
  const { k, r } = GAS;
  const sound = Math.sqrt(k * r * REFERENCE.temperatureK);
  const density = REFERENCE.pressurePa / (r * REFERENCE.temperatureK);
  const blade = (MEAN_RADIUS_SHARE * tipSpeedMPerS * inducerM) / exducerM;
  const frame = ((2 + (k - 1) * (blade / sound) ** 2) / (k + 1)) ** ((k + 1) / (2 * (k - 1)));
  return THROAT_SHARE * 0.25 * Math.PI * inducerM ** 2 * density * sound * frame;
};

/**
 * Right end of a speed line [kg/s]: a fast wheel is choked in its inducer; a slow one runs out of head in proportion to its
 * speed (similarity) long before that. The two joined smoothly.
 */
const rightEnd = (inducerM: number, exducerM: number, tipSpeedMPerS: number): number => {
  const fastest = chokeFlow(inducerM, exducerM, REFERENCE.tipSpeedMPerS);
  const sonic = chokeFlow(inducerM, exducerM, tipSpeedMPerS);
  const similar = (SLOW_END * fastest * tipSpeedMPerS) / REFERENCE.tipSpeedMPerS;
  // Scaled so that the fastest line ends at its choke flow.
  return ((1 + SLOW_END ** -4) / (sonic ** -4 + similar ** -4)) ** 0.25;
};

const familyLines = (): CompressorLine[] => {
  const { exducerM, trim, temperatureK, tipSpeedMPerS } = REFERENCE;
  const sound = Math.sqrt(GAS.k * GAS.r * temperatureK);
  const lines: CompressorLine[] = [];
  for (let share = 0.4; share < 1.01; share += 0.06) {
    const tip = share * tipSpeedMPerS;
    const mach = tip / sound;
    const choke = rightEnd(exducerM * Math.sqrt(trim), exducerM, tip);
    const surge = choke * (0.06 + 0.26 * mach);
    const best = 0.755 - 0.1 * Math.max(0, mach - 1.1) ** 1.5 - 0.09 * Math.max(0, 1.1 - mach);
    const points: [number, number, number][] = [];
    for (let i = 0; i <= 12; i++) {
      const flow = surge + ((0.985 * choke - surge) * i) / 12;
      const x = flow / choke;
      // Best at two thirds of choke flow; falls slowly towards surge and steeply towards choke.
      const off = x < 0.66 ? 0.45 * ((0.66 - x) / 0.66) ** 2 : 0.85 * ((x - 0.66) / 0.34) ** 2.6;
      const efficiency = Math.max(0.08, best * (1 - off));
      // Slip 0.9 (Wiesner's figure for some 12 blades), 3 % of disc friction and recirculation; falls with backsweep.
      const work = ((0.93 - 0.32 * x) * tip ** 2) / (1005 * temperatureK);
      points.push([flow, (1 + work * efficiency) ** (1 / MAP_EXPONENT), efficiency]);
    }
    lines.push({
      shaftSpeedRpm: (60 * tip) / (Math.PI * exducerM),
      surgeFlow: surge,
      chokeFlow: choke,
      points,
    });
  }
  return lines;
};

let family: CompressorSurface | undefined;

/** The wheel that all estimated maps are scaled from. Fitted once. */
export const estimatedCompressorSurface = (): CompressorSurface => {
  family ??= fitCompressorMap(
    {
      referenceTemperatureK: REFERENCE.temperatureK,
      referencePressurePa: REFERENCE.pressurePa,
      lines: familyLines(),
    },
    true,
  );
  return family;
};

/**
 * How a wheel of these sizes scales the family: flow with inducer area, speed with tip speed, efficiency with size.
 *
 * @param inducerM [m], 0.02 to 0.15
 * @param exducerM [m], 0.025 to 0.2, larger than the inducer
 * Source: similarity at equal tip Mach number; size effect on efficiency 1 - e ~ D^-0.2 (Dixon & Hall sect. 2.8, from memory).
 */
export const estimatedMapScale = (inducerM: number, exducerM: number): MapScale => {
  const loss = 0.245 * (exducerM / REFERENCE.exducerM) ** -0.2;
  return {
    flow: inducerM ** 2 / (REFERENCE.trim * REFERENCE.exducerM ** 2),
    speed: REFERENCE.exducerM / exducerM,
    efficiency: (1 - loss) / 0.755,
  };
};
