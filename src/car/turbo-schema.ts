/** Compressor map and turbine flow point as the build sheet holds them. */
import { z } from 'zod';
import { isUnit, toSi, totalFromStaticOutlet } from '../physics/index.ts';
import { SOURCES } from './quantity.ts';
import { percentText, unitOf } from './schema-parts.ts';

const speedLineSchema = z.strictObject({
  shaftSpeedRpm: z.number().min(5000).max(400000),
  /** Flow at which this line surges, in the map's flow unit; the first point's flow when absent. */
  surgeFlow: z.number().min(0).optional(),
  /** Flow at which this line chokes; estimated from the line's slope when absent. */
  chokeFlow: z.number().positive().optional(),
  /** [corrected flow, total pressure ratio, efficiency 0..1]. */
  points: z
    .array(z.tuple([z.number().min(0), z.number().min(0.8).max(8), z.number().min(0.05).max(0.95)]))
    .min(3)
    .max(100),
});

/** Flows by which two points or lines count as different. */
const APART = 1e-6;

export const compressorMapSchema = z
  .strictObject({
    /** State to which flow and speed are corrected (SAE J1826 leaves the choice to the map's maker: it must be stated). */
    referenceTemperatureK: z.number().min(250).max(330),
    referencePressurePa: z.number().min(80000).max(110000),
    flowUnit: unitOf('mass flow'),
    /** Whether the pressure at the outlet counts the air's speed; total to total when absent. The other needs the outlet's diameter. */
    pressureRatioIs: z.enum(['total to total', 'total to static']).optional(),
    outletDiameterMm: z.number().min(15).max(200).optional(),
    lines: z.array(speedLineSchema).min(2).max(40),
    source: z.enum(SOURCES),
    /** Plus-minus over the whole map of flow, efficiency, shaft speed and surge flow, as percentages of the value. */
    flowSpread: percentText.optional(),
    efficiencySpread: percentText.optional(),
    speedSpread: percentText.optional(),
    surgeSpread: percentText.optional(),
    note: z.string().max(400).optional(),
  })
  .superRefine((map, context) => {
    const say = (path: (string | number)[], message: string) => context.addIssue({ code: 'custom', path, message });
    if (map.pressureRatioIs === 'total to static' && map.outletDiameterMm === undefined) {
      say(['outletDiameterMm'], 'missing; pressure ratios to static pressure need the diameter of the outlet pipe');
    }
    const { outletDiameterMm, flowUnit } = map;
    if (map.pressureRatioIs === 'total to static' && outletDiameterMm !== undefined && isUnit(flowUnit)) {
      const reference = { temperatureK: map.referenceTemperatureK, pressurePa: map.referencePressurePa };
      map.lines.forEach((line, index) => {
        line.points.forEach(([flow, ratio, efficiency], point) => {
          if (ratio <= 1) return;
          const total = totalFromStaticOutlet(
            toSi(flow, flowUnit),
            ratio,
            efficiency,
            outletDiameterMm / 1000,
            reference,
          );
          if (!total.ok) say(['lines', index, 'points', point], total.reason.says);
        });
      });
    }
    const seen = new Map<number, number>();
    map.lines.forEach((line, index) => {
      const earlier = seen.get(line.shaftSpeedRpm);
      if (earlier !== undefined) {
        say(
          ['lines', index, 'shaftSpeedRpm'],
          `expected one line for each speed; line ${earlier} has ${line.shaftSpeedRpm} rpm too`,
        );
      }
      seen.set(line.shaftSpeedRpm, index);
      const flows = line.points.map(([flow]) => flow).sort((x, y) => x - y);
      const widest = flows[flows.length - 1] ?? 0;
      const different = flows.filter((flow, i) => i === 0 || flow - (flows[i - 1] ?? 0) > APART * widest).length;
      if (different < 3) say(['lines', index, 'points'], 'expected at least three points of different flow');
      const span = widest - (flows[0] ?? 0);
      if (different >= 3 && span < 0.02 * widest) {
        say(['lines', index, 'points'], 'expected points that lie further apart in flow; these hardly differ');
      }
    });
  });

/** A compressor map as typed or read from a file: data, not yet a surface. */
export type CompressorMapData = z.infer<typeof compressorMapSchema>;

/** One figure of the turbine's flow: what it passes at an expansion ratio, from which its effective area follows. */
export const turbineFlowPointSchema = z.strictObject({
  /** Flow through the turbine, wastegate shut: as it was, or corrected to the inlet state below. */
  flow: z.number().positive().max(1000),
  flowUnit: unitOf('mass flow'),
  /** Total pressure before over static pressure after the turbine. */
  expansionRatio: z.number().min(1.05).max(6),
  /** Inlet state of the flow; of a corrected flow the reference that it is corrected to. */
  inletTemperatureK: z.number().min(250).max(1500),
  inletPressurePa: z.number().min(50000).max(800000),
  source: z.enum(SOURCES),
  spread: percentText.optional(),
  note: z.string().max(400).optional(),
});
