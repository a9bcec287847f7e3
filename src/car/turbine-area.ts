/** The turbine's effective area from what the sheet says of its flow or its housing. */
import { toSi, turbineAreaFromHousingM2, turbineAreaFromPointM2 } from '../physics/index.ts';
import type { Estimate } from './estimate.ts';
import type { Source } from './quantity.ts';

/** Plus-minus of a turbine's area from one point of its flow, by where the point is from (house convention, no source). */
const FLOW_POINT_SPREAD: Readonly<Record<Source, number>> = {
  measured: 0.03,
  logged: 0.04,
  'data-sheet': 0.04,
  estimate: 0.1,
};

/** Effective area from a flow point of the sheet, else from the housing's area over radius. */
export const turbineAreaFromSheet: NonNullable<Estimate['better']> = (known, build, typed) => {
  const point = build.turbocharger.turbineFlowPoint;
  if (point) {
    const area = turbineAreaFromPointM2(
      toSi(point.flow, point.flowUnit),
      point.expansionRatio,
      point.inletPressurePa,
      point.inletTemperatureK,
    );
    const spread = point.spread === undefined ? Number.NaN : Number.parseFloat(point.spread) / 100;
    if (area.ok) {
      return {
        valueSi: area.value,
        relative: Number.isFinite(spread) ? spread : FLOW_POINT_SPREAD[point.source],
        source: point.source,
        why: 'from the flow at one expansion ratio',
      };
    }
  }
  if (!typed('turbocharger.turbineAreaOverRadius')) return null;
  return {
    valueSi: turbineAreaFromHousingM2(
      known('turbocharger', 'turbineAreaOverRadius'),
      known('turbocharger', 'turbineWheel'),
    ),
    relative: typed('turbocharger.turbineWheel') ? 0.09 : 0.12,
    source: 'estimate',
    why: 'from area over radius and wheel',
  };
};
