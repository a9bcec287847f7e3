/** What stands in for a number of the water-methanol injection that nobody typed. Without a nozzle none of it is uncertain. */
import {
  dryMist,
  finalVolumeFromMassFraction,
  METHANOL_KG_PER_M3,
  massFractionFromFinalVolume,
  massFractionFromVolumesBeforeMixing,
  WATER_KG_PER_M3,
} from '../physics/index.ts';
import type { Build } from './build-schema.ts';
import type { Better, Estimate, Known } from './estimate.ts';
import { INJECTED_LIQUID_K, mistExposureOf, usualDropletDiameterM } from './mist.ts';
import { toUncertain } from './quantity.ts';

/** How well a typed share by volume is known where nobody says [relative]. House convention. */
const VOLUME_RELATIVE = { measured: 0.01, logged: 0.02, 'data-sheet': 0.02, estimate: 0.08 } as const;

/** Methanol by mass from a share by volume typed in the sheet; null where none is. */
const massFractionFromTypedVolume = (build: Build): Better | null => {
  const typed = build.injection?.methanolVolumeFraction;
  if (!typed) return null;
  const { valueSi, sdSi, source } = toUncertain(typed, VOLUME_RELATIVE);
  const finished = build.injection?.methanolVolumeBasis === 'in the finished mix';
  const byMass = (volume: number): number => {
    const held = Math.min(1, Math.max(0, volume));
    const found = finished ? massFractionFromFinalVolume(held) : massFractionFromVolumesBeforeMixing(held);
    return found.ok ? found.value : 0;
  };
  const value = byMass(valueSi);
  const sd = Math.abs(byMass(valueSi + sdSi / 2) - byMass(valueSi - sdSi / 2));
  return {
    valueSi: value,
    relative: value > 0 ? sd / value : 0,
    source,
    why: finished ? 'from volume in the finished mix' : 'from volumes before mixing',
  };
};

/** The two ways to say a mix by volume, from its methanol by mass [-]; both at 20 degC. */
export const volumesOfMix = (methanolMassFraction: number): { beforeMixing: number; inFinishedMix: number } => {
  const w = Math.min(1, Math.max(0, methanolMassFraction));
  const methanol = w / METHANOL_KG_PER_M3;
  const finished = finalVolumeFromMassFraction(w);
  return {
    beforeMixing: methanol / (methanol + (1 - w) / WATER_KG_PER_M3),
    inFinishedMix: finished.ok ? finished.value : w,
  };
};

/** Charge at which the share of an untyped build is shown: 57 degC, 200 kPa, ordinary air, at the cooler's reference flow. */
const SHOWN_AT = { temperatureK: 330, pressurePa: 200e3, boostPa: 100e3, humidityRatio: 0.008 } as const;

/** Share of the mix's latent heat that the mist takes from the charge before the valves, at {@link SHOWN_AT} [-]. */
const driedShare = (known: Known): number => {
  const flow = known('injection', 'nozzleFlow');
  const air = known('chargeCooler', 'referenceFlow');
  const methanolMassFraction = Math.min(1, Math.max(0, known('injection', 'methanolMassFraction')));
  if (!(flow > 0)) return 0.15;
  const density = 1 / (methanolMassFraction / METHANOL_KG_PER_M3 + (1 - methanolMassFraction) / WATER_KG_PER_M3);
  const exposure = mistExposureOf(
    {
      dropletDiameterM: known('injection', 'dropletDiameter'),
      nozzleDistanceM: known('injection', 'nozzleDistance'),
      pumpPressureGaugePa: known('injection', 'pumpPressure'),
      methanolMassFraction,
      chargePipeDiameterM: known('intake', 'chargePipeDiameter'),
      plenumVolumeM3: known('intake', 'plenumVolume'),
    },
    { airFlowKgPerS: air, ...SHOWN_AT },
  );
  const { coolingShare } = dryMist(
    { ...SHOWN_AT, liquidPerAir: (flow * density) / air, methanolMassFraction, liquidTemperatureK: INJECTED_LIQUID_K },
    exposure,
  );
  return Math.min(1, Math.max(0.01, coolingShare));
};

/** Estimates of the injection; `fitted` decides whether any of it is uncertain. */
export const injectionEstimates = (build: Build): Estimate[] => {
  const fitted = build.injection?.nozzleFlow !== undefined;
  const line = (
    name: string,
    valueSi: (known: Known) => number,
    relative: number,
    why: string,
    better?: Estimate['better'],
  ): Estimate => ({
    group: 'injection',
    name,
    valueSi,
    relative: fitted ? relative : 0,
    why: fitted ? why : 'not fitted',
    ...(better ? { better } : {}),
  });
  return [
    line(
      'methanolMassFraction',
      () => 0.4422,
      0.05,
      'half and half by volume before mixing',
      () => massFractionFromTypedVolume(build),
    ),
    line('nozzleFlow', () => 0, 0, 'not fitted'),
    line('pumpPressure', () => 1000e3, 0.08, 'usual diaphragm pump'),
    line('startBoost', () => 55e3, 0.2, 'usual setting'),
    line('tankVolume', () => 5e-3, 0.2, 'usual tank'),
    line('nozzleDistance', () => 0.3, 0.4, 'usual place, before the throttle'),
    line(
      'dropletDiameter',
      (k) =>
        usualDropletDiameterM(
          k('injection', 'nozzleFlow'),
          k('injection', 'pumpPressure'),
          k('injection', 'methanolMassFraction'),
        ),
      0.3,
      'swirl nozzle of this flow and pressure',
    ),
    line(
      'evaporatedShare',
      driedShare,
      0.25,
      'worked out from droplets and time at each speed; here at 57 degC and 100 kPa of boost',
    ),
  ];
};
