/** Road load in a sentence. */
import type { Band, RoadLoadSeen } from './types.ts';

/** How a reader writes forces [N] and speeds [m/s], with their units. */
export interface RoadLoadWriters {
  readonly force: (newtons: number) => string;
  readonly speed: (metresPerSecond: number) => string;
}

const plusMinus = ({ p10, p90 }: Band): number => (p90 - p10) / 2;

/** Half a band against half of another: by how much the second is narrower, in words. */
const worth = (sheet: Band, used: Band): string => {
  const gained = 1 - plusMinus(used) / plusMinus(sheet);
  return gained > 0 && Number.isFinite(gained) ? `${(100 * gained).toFixed(0)} % narrower` : 'no narrower';
};

/**
 * The two forces of the coast-downs as driven and in standard air, what they mean for drag, and what they are worth.
 * Forces are told at two speeds of the coast-down, since nobody feels N s2/m2.
 */
export const roadLoadText = (seen: RoadLoadSeen, { force, speed }: RoadLoadWriters): string => {
  const { coastDowns, constantForceN, quadraticForceNPerM2S2, standardConstantForceN } = seen;
  const fastest = Math.max(...coastDowns.map(({ fromMPerS }) => fromMPerS));
  const byAir = (per: Band): Band => ({
    p10: per.p10 * fastest ** 2,
    p50: per.p50 * fastest ** 2,
    p90: per.p90 * fastest ** 2,
  });
  const told = (band: Band) => `${force(band.p50)} ± ${force(plusMinus(band))}`;
  const times = coastDowns.length === 1 ? 'One coast-down' : `${coastDowns.length} coast-downs`;
  const one =
    coastDowns.length === 1
      ? ' A single one cannot tell rolling from a slope: coast the same road both ways for less plus-minus.'
      : '';
  return (
    `${times} by the method of ${seen.standard}: ${told(constantForceN)} at any speed and ` +
    `${told(byAir(quadraticForceNPerM2S2))} more at ${speed(fastest)}, in the air of the day; in standard air ` +
    `${told(standardConstantForceN)} and ${told(byAir(seen.standardQuadraticForceNPerM2S2))}. ` +
    `Drag area ${seen.dragAreaM2.p50.toFixed(2)} ± ${plusMinus(seen.dragAreaM2).toFixed(2)} m² by itself, ` +
    `${seen.usedDragAreaM2.p50.toFixed(3)} ± ${plusMinus(seen.usedDragAreaM2).toFixed(3)} m² together with the sheet ` +
    `(${worth(seen.sheetDragAreaM2, seen.usedDragAreaM2)} than the sheet alone); power from acceleration takes that.${one}`
  );
};
