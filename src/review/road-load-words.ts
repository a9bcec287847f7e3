/** Road load in a sentence. */
import type { Band, RoadLoadSeen } from './types.ts';

/** How a reader writes forces [N] and speeds [m/s], with their units. */
export interface RoadLoadWriters {
  readonly force: (newtons: number) => string;
  readonly speed: (metresPerSecond: number) => string;
}

export const plusMinus = ({ p10, p90 }: Band): number => (p90 - p10) / 2;

/** Half a band against half of another: by how much the second is narrower, in words. */
const worth = (sheet: Band, used: Band): string => {
  const gained = 1 - plusMinus(used) / plusMinus(sheet);
  return gained > 0 && Number.isFinite(gained) ? `${(100 * gained).toFixed(0)} % narrower` : 'no narrower';
};

/** Force by the air [N] at the highest speed of the coast-downs: nobody feels N s2/m2. */
export const forceByAirN = ({ coastDowns }: RoadLoadSeen, quadratic: Band): Band => {
  const square = Math.max(...coastDowns.map(({ fromMPerS }) => fromMPerS)) ** 2;
  return { p10: quadratic.p10 * square, p50: quadratic.p50 * square, p90: quadratic.p90 * square };
};

/** What the coast-downs are worth to the power from acceleration, and what would make them worth more. */
export const roadLoadWorth = ({ coastDowns, sheetDragAreaM2, usedDragAreaM2 }: RoadLoadSeen): string => {
  const one =
    coastDowns.length === 1
      ? ' A single one cannot tell rolling from a slope or drag from a wind. Next: coast the same road both ways.'
      : '';
  return (
    `Power from acceleration takes ${usedDragAreaM2.p50.toFixed(3)} ± ${plusMinus(usedDragAreaM2).toFixed(3)} m² of drag area, ` +
    `coasting and sheet together: ${worth(sheetDragAreaM2, usedDragAreaM2)} than the sheet alone.${one}`
  );
};

/** The two forces of the coast-downs as driven and in standard air, and what they are worth. */
export const roadLoadText = (seen: RoadLoadSeen, { force, speed }: RoadLoadWriters): string => {
  const { coastDowns } = seen;
  const told = (band: Band) => `${force(band.p50)} ± ${force(plusMinus(band))}`;
  const times = coastDowns.length === 1 ? 'One coast-down' : `${coastDowns.length} coast-downs`;
  const fastest = Math.max(...coastDowns.map(({ fromMPerS }) => fromMPerS));
  return (
    `${times} by the method of ${seen.standard}: ${told(seen.constantForceN)} at any speed and ` +
    `${told(forceByAirN(seen, seen.quadraticForceNPerM2S2))} more at ${speed(fastest)}, in the air of the day; in standard air ` +
    `${told(seen.standardConstantForceN)} and ${told(forceByAirN(seen, seen.standardQuadraticForceNPerM2S2))}. ` +
    `Drag area ${seen.dragAreaM2.p50.toFixed(2)} ± ${plusMinus(seen.dragAreaM2).toFixed(2)} m² by itself. ${roadLoadWorth(seen)}`
  );
};
