/** How much of a water-methanol spray turns to vapour before the valves. */
import { alcoholVapourPressurePa, WATER_TO_AIR_MOLAR_MASS, waterSaturationPressurePa } from '../physics/index.ts';
import type { Prepared } from './prepare.ts';

/** Methanol over dry air by molar mass [-]. */
const METHANOL_TO_AIR_MOLAR_MASS = 32.042 / 28.966;

/**
 * Share of a spray that the charge can hold as vapour [-], each liquid to its own saturation.
 * Source: ideal-gas saturation, ASHRAE Fundamentals 2017 ch. 1; Antoine for methanol; check values EV-02, EV-07.
 */
const evaporationLimit = (
  prepared: Prepared,
  temperatureK: number,
  pressurePa: number,
  sprayOverAir: number,
): number => {
  const methanol = Math.min(1, Math.max(0, prepared.car.injection.methanolMassFraction));
  const steam = waterSaturationPressurePa(Math.min(440, Math.max(230, temperatureK)));
  const alcohol = alcoholVapourPressurePa('methanol', Math.min(355, Math.max(263, temperatureK)));
  if (!steam.ok || !alcohol.ok) return 1;
  const room = (saturationPa: number, molarMassRatio: number) =>
    saturationPa >= pressurePa
      ? Number.POSITIVE_INFINITY
      : (molarMassRatio * saturationPa) / (pressurePa - saturationPa);
  const water = Math.min(
    1 - methanol,
    Math.max(0, room(steam.value, WATER_TO_AIR_MOLAR_MASS) - prepared.humidityRatio) / sprayOverAir,
  );
  return water + Math.min(methanol, room(alcohol.value, METHANOL_TO_AIR_MOLAR_MASS) / sprayOverAir);
};

/**
 * Share of the spray that evaporates [-]: what droplets have time for, or less where the charge, which it cools, is full.
 * `latentRise`: cooling by all of the spray [K].
 */
export const evaporatedShare = (
  prepared: Prepared,
  beforeK: number,
  latentRise: number,
  pressurePa: number,
  sprayOverAir: number,
): number => {
  const most = prepared.car.injection.evaporatedShare;
  const spare = (share: number) =>
    evaporationLimit(prepared, beforeK - share * latentRise, pressurePa, sprayOverAir) - share;
  if (spare(most) >= 0) return most;
  let low = 0;
  let high = most;
  for (let i = 0; i < 30; i++) {
    const middle = 0.5 * (low + high);
    if (spare(middle) > 0) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high);
};
