/** Calls about spool and lift. */
import type { SpoolLoggedView, SpoolView } from '../../src/app/spool-api.ts';
import { call, id } from './client.ts';

export interface SpoolAsked {
  readonly gear: number;
  readonly fromRpm: number;
  readonly liftRpm: number;
  /** Air of the day of a logged pull; standard air when null. */
  readonly conditions: SpoolView['conditions'] | null;
}

export const spoolQuery = ({ gear, fromRpm, liftRpm, conditions }: SpoolAsked): string => {
  const query = new URLSearchParams({ gear: String(gear), from: String(fromRpm), lift: String(liftRpm) });
  if (conditions) {
    query.set('ambientPressurePa', conditions.ambientPressurePa.toFixed(0));
    query.set('ambientTemperatureK', conditions.ambientTemperatureK.toFixed(2));
    query.set('relativeHumidity', conditions.relativeHumidity.toFixed(3));
  }
  return query.toString();
};

export const fetchSpool = (buildId: string, asked: SpoolAsked) =>
  call<SpoolView>(`/builds/${id(buildId)}/spool?${spoolQuery(asked)}`);

/** The logged pull that lies over the predicted one in a gear; the newest in any gear when null. */
export const fetchSpoolLogged = (buildId: string, gear: number | null) =>
  call<SpoolLoggedView>(`/builds/${id(buildId)}/spool-logged${gear === null ? '' : `?gear=${gear}`}`);
