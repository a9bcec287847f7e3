/**
 * A mist of water and methanol drying in charge air: how much becomes vapour in the time it has.
 *
 * Droplets of one size (the Sauter mean diameter, which keeps surface per volume), well mixed inside, move with the air;
 * their surface stands in equilibrium with the liquid (Wilson). Diffusion of both vapours and conduction of heat through
 * the film, air, droplets and vapour exchanging one enthalpy: so saturation and wet-bulb cooling come out by themselves.
 * Walls are left out: mist that lands on them dries more slowly.
 */
import { airConductivityWPerMK } from './atmosphere.ts';
import { alcoholPressurePa, methanolLatentHeatJPerKg, waterLatentHeatJPerKg } from './evaporation.ts';
import { METHANOL } from './fuels.ts';
import { MOLAR_GAS_CONSTANT_J_PER_MOL_K as R } from './species.ts';
import { METHANOL_KG_PER_M3, WATER_KG_PER_M3, WATER_LATENT_J_PER_KG } from './water-methanol.ts';
import { WATER_MOLAR_MASS_KG_PER_MOL, waterMethanolActivities } from './water-methanol-vapour.ts';

/** A mist and the charge it is sprayed into; masses per kilogram of dry air. */
export interface Mist {
  readonly pressurePa: number;
  readonly temperatureK: number;
  /** Vapour already in the air [kg/kg]. */
  readonly humidityRatio: number;
  /** Sprayed liquid [kg/kg dry air]. */
  readonly liquidPerAir: number;
  readonly methanolMassFraction: number;
  readonly liquidTemperatureK: number;
}

/** What has become of a mist. Reused between calls where asked. */
export interface DriedMist {
  /** Air and vapour, without the droplets [K]. */
  temperatureK: number;
  dropletTemperatureK: number;
  /** Shares evaporated [-]; a little below 0 where droplets colder than the dew point take up water. */
  waterEvaporated: number;
  methanolEvaporated: number;
  /** Cooling of the air over what it would be if all of the mist took its whole latent heat (at 25 degC) from it [-]. */
  coolingShare: number;
}

const CP = { air: 1006, steam: 1860, water: 4186, methanolVapour: 1380, methanolLiquid: 2530 } as const;
const AIR_MOLAR_MASS = 28.966e-3;
const METHANOL_MOLAR_MASS = METHANOL.molarMassKgPerMol;
/** Droplets that have lost all but this share of their mass count as gone. */
const GONE = 1e-3;
const MOST_STEPS = 800;
/** Longest step in relaxation times of the droplet's temperature, which moves by its own exponential. */
const STEP_RELAXATIONS = 1;

/** Saturation pressure of water [Pa] by one exponential, quick enough for an inner loop, within 0.4 % from -40 to 50 degC. Source: Alduchov & Eskridge, J. Appl. Meteorol. 35 (1996) 601. */
export const quickWaterPressurePa = (temperatureK: number): number => {
  const celsius = temperatureK - 273.15;
  return 610.94 * Math.exp((17.625 * celsius) / (celsius + 243.04));
};

/**
 * Diffusivity of water vapour in air [m2/s] at a temperature [K] and pressure [Pa].
 * Source: Marrero & Mason, J. Phys. Chem. Ref. Data 1 (1972) 3: 1.87e-10 T^2.072 at 1 atm, 282 to 450 K.
 */
export const waterDiffusivityM2PerS = (temperatureK: number, pressurePa: number): number =>
  1.87e-10 * temperatureK ** 2.072 * (101325 / pressurePa);

/**
 * Diffusivity of methanol vapour in air [m2/s] at a temperature [K] and pressure [Pa].
 * Source: International Critical Tables through Perry's, 0.132 cm2/s at 0 degC and 1 atm (from memory), with T^1.75 (Fuller).
 */
export const methanolDiffusivityM2PerS = (temperatureK: number, pressurePa: number): number =>
  1.32e-5 * (temperatureK / 273.15) ** 1.75 * (101325 / pressurePa);

/** Where droplets are and for how long. */
export interface MistFlight {
  readonly diameterM: number;
  readonly residenceTimeS: number;
  /** Speed of the droplets against the air when they leave the nozzle [m/s]. */
  readonly slipMPerS: number;
  readonly liquidDensityKgPerM3: number;
  readonly airDensityKgPerM3: number;
}

/** Viscosity of charge air near 50 degC [Pa s]. Source: ISO 2533 (Sutherland). */
const AIR_VISCOSITY = 1.95e-5;

/**
 * Time over diameter squared that a droplet at rest would need for the same drying [s/m2]: the residence time, and what
 * the first milliseconds of slip add by Sh = 2 + 0.6 Re^1/2 Sc^1/3 (Sc 0.7) while drag takes the slip away.
 * Source: Ranz & Marshall, Chem. Eng. Prog. 48 (1952) 141; drag of Schiller & Naumann (1933); slip taken as dying
 * exponentially. All in SI [m, s, m/s, kg/m3].
 */
export const mistExposureSPerM2 = (flight: MistFlight): number => {
  const { diameterM: d, residenceTimeS: time, slipMPerS, liquidDensityKgPerM3, airDensityKgPerM3 } = flight;
  if (!(d > 0 && time > 0)) return 0;
  const reynolds = (airDensityKgPerM3 * Math.max(0, slipMPerS) * d) / AIR_VISCOSITY;
  const relaxation = (liquidDensityKgPerM3 * d * d) / (18 * AIR_VISCOSITY * (1 + 0.15 * (0.5 * reynolds) ** 0.687));
  const added = 0.3 * Math.sqrt(reynolds) * 0.888 * 2 * relaxation * -Math.expm1((-0.5 * time) / relaxation);
  return (time + added) / (d * d);
};

/** A fresh answer for {@link dryMist} to fill. Definition. */
export const newDriedMist = (): DriedMist => ({
  temperatureK: 0,
  dropletTemperatureK: 0,
  waterEvaporated: 0,
  methanolEvaporated: 0,
  coolingShare: 0,
});

/**
 * Dries a mist for an exposure.
 *
 * @param mist state at the nozzle [Pa, K, kg/kg]: 250 to 450 K, liquid 260 to 330 K
 * @param exposureSPerM2 time over diameter squared [s/m2] from {@link mistExposureSPerM2}
 * @param out filled and returned; a new one when absent
 * @returns a {@link DriedMist}
 * Source: Spalding film with Stefan flow and Nu = Sh (Lefebvre & McDonell, Atomization and Sprays, ch. 8; Kuo,
 * Principles of Combustion, ch. 6), d-squared law in the limit of one liquid at its wet bulb; activities of Wilson.
 */
export const dryMist = (mist: Mist, exposureSPerM2: number, out: DriedMist = newDriedMist()): DriedMist => {
  const { pressurePa: p, liquidPerAir: y, methanolMassFraction: w } = mist;
  out.temperatureK = mist.temperatureK;
  out.dropletTemperatureK = mist.liquidTemperatureK;
  out.waterEvaporated = 0;
  out.methanolEvaporated = 0;
  out.coolingShare = 0;
  if (!(y > 0 && exposureSPerM2 > 0)) return out;
  const density = 1 / (w / METHANOL_KG_PER_M3 + (1 - w) / WATER_KG_PER_M3);
  const perAir = (12 * y) / density;
  const water0 = y * (1 - w);
  const methanol0 = y * w;
  let water = water0;
  let methanol = methanol0;
  let gasK = mist.temperatureK;
  let dropK = mist.liquidTemperatureK;
  let left = exposureSPerM2;
  for (let step = 0; step < MOST_STEPS && left > 0; step++) {
    const mass = water + methanol;
    const share = mass / y;
    if (share < GONE) {
      // What little is left goes at once.
      const heat = water * waterLatentHeatJPerKg(dropK) + methanol * methanolLatentHeatJPerKg(dropK);
      gasK -= heat / (CP.air + mist.humidityRatio * CP.steam);
      water = 0;
      methanol = 0;
      break;
    }
    const steam = mist.humidityRatio + water0 - water;
    const alcohol = methanol0 - methanol;
    const moles = 1 / AIR_MOLAR_MASS + steam / WATER_MOLAR_MASS_KG_PER_MOL + alcohol / METHANOL_MOLAR_MASS;
    const x = methanol / METHANOL_MOLAR_MASS / (methanol / METHANOL_MOLAR_MASS + water / WATER_MOLAR_MASS_KG_PER_MOL);
    const activity = waterMethanolActivities(x, dropK);
    const waterAt = (1 - x) * activity.water * quickWaterPressurePa(dropK);
    const methanolAt = x * activity.methanol * alcoholPressurePa('methanol', dropK);
    const filmK = (gasK + 2 * dropK) / 3;
    const stefan = p / Math.max(0.3 * p, p - 0.5 * (waterAt + methanolAt));
    const size = perAir * Math.cbrt(share);
    const common = (size * stefan) / (R * filmK);
    const waterRate =
      common *
      WATER_MOLAR_MASS_KG_PER_MOL *
      waterDiffusivityM2PerS(filmK, p) *
      (waterAt - (p * steam) / WATER_MOLAR_MASS_KG_PER_MOL / moles);
    const methanolRate =
      common *
      METHANOL_MOLAR_MASS *
      methanolDiffusivityM2PerS(filmK, p) *
      (methanolAt - (p * alcohol) / METHANOL_MOLAR_MASS / moles);
    const conductance = size * airConductivityWPerMK(filmK);
    const heatIn = conductance * (gasK - dropK);
    const waterHeat = waterLatentHeatJPerKg(dropK);
    const methanolHeat = methanolLatentHeatJPerKg(dropK);
    const capacity = water * CP.water + methanol * CP.methanolLiquid;
    const gasCapacity = CP.air + steam * CP.steam + alcohol * CP.methanolVapour;
    // Vapour pressures rise some 6 % per kelvin: that sets how stiff the droplet's temperature is.
    const stiffness =
      (conductance +
        0.06 *
          common *
          (WATER_MOLAR_MASS_KG_PER_MOL * waterDiffusivityM2PerS(filmK, p) * waterAt * waterHeat +
            METHANOL_MOLAR_MASS * methanolDiffusivityM2PerS(filmK, p) * methanolAt * methanolHeat)) /
      capacity;
    const net = (heatIn - waterRate * waterHeat - methanolRate * methanolHeat) / capacity;
    const dt = Math.min(
      left,
      (0.1 * mass) / Math.max(1e-300, Math.abs(waterRate) + Math.abs(methanolRate)),
      STEP_RELAXATIONS / stiffness,
      0.2 * (methanol > 1e-4 * y ? methanol / Math.max(1e-300, Math.abs(methanolRate)) : Number.POSITIVE_INFINITY),
      (0.2 * gasCapacity) / conductance,
    );
    // The droplet's temperature by its own exponential, so that a step may be as long as its relaxation; the air gives
    // what the droplet took, so that no energy is lost on the way.
    const warmed = (net / stiffness) * -Math.expm1(-stiffness * dt);
    const taken = capacity * warmed + dt * (waterRate * waterHeat + methanolRate * methanolHeat);
    gasK += (dt * (waterRate * CP.steam + methanolRate * CP.methanolVapour) * (dropK - gasK) - taken) / gasCapacity;
    dropK += warmed;
    water = Math.max(0, water - waterRate * dt);
    methanol = Math.max(0, methanol - methanolRate * dt);
    left -= dt;
  }
  out.temperatureK = gasK;
  out.dropletTemperatureK = dropK;
  out.waterEvaporated = water0 > 0 ? 1 - water / water0 : 1;
  out.methanolEvaporated = methanol0 > 0 ? 1 - methanol / methanol0 : 1;
  const full = water0 * WATER_LATENT_J_PER_KG + methanol0 * METHANOL.latentHeatJPerKg;
  out.coolingShare = ((CP.air + mist.humidityRatio * CP.steam) * (mist.temperatureK - gasK)) / full;
  return out;
};

/** Exposure after which nothing moves any more [s/m2]: a minute for droplets of 0.05 mm. */
const SETTLED_S_PER_M2 = 4e10;

/**
 * What becomes of a mist that has all the time it wants: as far as saturation lets it.
 *
 * @param mist state at the nozzle [Pa, K, kg/kg]
 * @param out filled and returned; a new one when absent
 * @returns a {@link DriedMist} at rest
 * Source: {@link dryMist} run until nothing changes.
 */
export const settledMist = (mist: Mist, out: DriedMist = newDriedMist()): DriedMist =>
  dryMist(mist, SETTLED_S_PER_M2, out);

/** What keeps a mist from drying further: nothing (all of it does), the air being full, or the time. */
export type MistLimit = 'nothing' | 'saturation' | 'time';

/**
 * Which of the two limits a mist [-]: `time` where it would still take up a tenth more, `saturation` where it is as dry as
 * the air lets it be, `nothing` where 98 % of the cooling is had. Source: comparison of {@link dryMist} with {@link settledMist}.
 */
export const mistLimit = (dried: DriedMist, settled: DriedMist): MistLimit => {
  if (dried.coolingShare >= 0.98) return 'nothing';
  return dried.coolingShare >= 0.9 * settled.coolingShare ? 'saturation' : 'time';
};
