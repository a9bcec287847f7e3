/**
 * Fuels: what a tank holds, as one object that everything else reads.
 *
 * Pure liquids come from their formula and heat of formation; petrol is a stand-in CH1.87 whose heating value and
 * density are typical, since real petrol varies by some per cent. Densities at 20 degC, heats at 25 degC.
 */
import { fuelMolarMassPerCarbonKgPerMol, stoichiometricAirFuelRatioOf } from './burned-gas.ts';
import { ATOMIC_MASS_KG_PER_MOL as A, SPECIES, type VapourSpecies } from './species.ts';

/** A liquid fuel. */
export interface Fuel {
  readonly name: string;
  readonly hydrogenToCarbon: number;
  readonly oxygenToCarbon: number;
  readonly stoichiometricAirFuelRatio: number;
  readonly lowerHeatingValueJPerKg: number;
  readonly latentHeatJPerKg: number;
  readonly densityKgPerM3: number;
  readonly researchOctane: number;
  readonly motorOctane: number;
  /** Mean molar mass [kg/mol]; blends weigh octane by mole. */
  readonly molarMassKgPerMol: number;
  /** Its vapour as moles of known species in one kilogram [mol/kg]; petrol as the surrogate of {@link petrol}. */
  readonly vapourMolPerKg: VapourMoles;
}

/** Moles of each vapour, in any unit. */
export type VapourMoles = Readonly<Partial<Record<VapourSpecies, number>>>;

/** Heats of formation of the products [J/mol]. Source: CODATA key values; water as vapour. */
const CARBON_DIOXIDE_FORMATION_J_PER_MOL = -393_510;
const WATER_VAPOUR_FORMATION_J_PER_MOL = -241_826;

/** A compound CcHhOo. */
export interface Formula {
  readonly carbon: number;
  readonly hydrogen: number;
  readonly oxygen: number;
}

/** Molar mass [kg/mol] of a compound. Source: IUPAC abridged standard atomic weights 2021. */
export const molarMassKgPerMol = (formula: Formula): number =>
  formula.carbon * A.C + formula.hydrogen * A.H + formula.oxygen * A.O;

/** Oxygen by mass [kg/kg] in a compound. Definition. */
export const oxygenMassFraction = (formula: Formula): number => (formula.oxygen * A.O) / molarMassKgPerMol(formula);

/**
 * Lower heating value of a liquid from its heat of formation.
 *
 * @param formula the compound
 * @param formationJPerMol heat of formation of the liquid at 25 degC [J/mol]
 * @returns [J/kg]
 * Source: Hess's law with products carbon dioxide and water vapour.
 */
export const lowerHeatingValueFromFormationJPerKg = (formula: Formula, formationJPerMol: number): number =>
  (formationJPerMol -
    formula.carbon * CARBON_DIOXIDE_FORMATION_J_PER_MOL -
    (formula.hydrogen / 2) * WATER_VAPOUR_FORMATION_J_PER_MOL) /
  molarMassKgPerMol(formula);

const compound = (
  name: string,
  vapour: VapourSpecies,
  formula: Formula,
  formationJPerMol: number,
  vaporisationJPerMol: number,
  densityKgPerM3: number,
  researchOctane: number,
  motorOctane: number,
): Fuel => {
  const atoms = {
    hydrogenToCarbon: formula.hydrogen / formula.carbon,
    oxygenToCarbon: formula.oxygen / formula.carbon,
  };
  const molarMass = molarMassKgPerMol(formula);
  return {
    name,
    ...atoms,
    stoichiometricAirFuelRatio: stoichiometricAirFuelRatioOf(atoms),
    lowerHeatingValueJPerKg: lowerHeatingValueFromFormationJPerKg(formula, formationJPerMol),
    latentHeatJPerKg: vaporisationJPerMol / molarMass,
    densityKgPerM3,
    researchOctane,
    motorOctane,
    molarMassKgPerMol: molarMass,
    vapourMolPerKg: { [vapour]: 1 / molarMass },
  };
};

/**
 * Ethanol. Source: heat of formation ATcT 1.112, heat of vaporisation and density CRC Handbook (42.32 kJ/mol,
 * 789.3 kg/m3), octane Florian & Liming as collected by the chemicals library.
 */
export const ETHANOL: Fuel = compound(
  'ethanol',
  'C2H5OH',
  { carbon: 2, hydrogen: 6, oxygen: 1 },
  -277_030,
  42_320,
  789.3,
  108.6,
  89.7,
);

/** Methanol. Source: ATcT 1.112, CRC Handbook (37.43 kJ/mol, 791.4 kg/m3), octane Florian & Liming (chemicals library). */
export const METHANOL: Fuel = compound(
  'methanol',
  'CH3OH',
  { carbon: 1, hydrogen: 4, oxygen: 1 },
  -238_400,
  37_430,
  791.4,
  108.7,
  88.6,
);

/** Toluene. Source: ATcT 1.112, CRC Handbook (38.01 kJ/mol), Lemmon & Span 2006 density, octane Florian & Liming (chemicals library). */
export const TOLUENE: Fuel = compound(
  'toluene',
  'C7H8',
  { carbon: 7, hydrogen: 8, oxygen: 0 },
  12_360,
  38_010,
  867.2,
  120.1,
  103.5,
);

/** Isooctane. Source: ATcT 1.112 heat of formation, CRC Handbook (35.14 kJ/mol, 691.9 kg/m3); octane by definition. */
export const ISOOCTANE: Fuel = compound(
  'isooctane',
  'C8H18',
  { carbon: 8, hydrogen: 18, oxygen: 0 },
  -258_800,
  35_140,
  691.9,
  100,
  100,
);

/** Normal heptane, the usual test fluid's main part. Source: ATcT 1.112, CRC (36.57 kJ/mol, 684 kg/m3); octane by definition. */
export const HEPTANE: Fuel = compound(
  'n-heptane',
  'C7H16',
  { carbon: 7, hydrogen: 16, oxygen: 0 },
  -223_910,
  36_570,
  684,
  0,
  0,
);

/** Mean carbon atoms of petrol's molecules [-]; only weighs octane in blends. Source: Heywood (1988) table D.4 (about 8). */
const PETROL_CARBON = 7.9;

/**
 * Toluene and isooctane that together have petrol's hydrogen per carbon, as moles per kilogram: what its vapour is made
 * of here. Held between pure toluene (1.14) and pure isooctane (2.25).
 * Source: two-part surrogate; specific heat within 6 % of Heywood (1988) table 4.11, gasoline, 300 to 1000 K.
 */
const petrolVapour = (hydrogenToCarbon: number): VapourMoles => {
  const toluene = Math.min(1, Math.max(0, (18 - 8 * hydrogenToCarbon) / (10 - hydrogenToCarbon)));
  const mass = toluene * SPECIES.C7H8.molarMassKgPerMol + (1 - toluene) * SPECIES.C8H18.molarMassKgPerMol;
  return { C7H8: toluene / mass, C8H18: (1 - toluene) / mass };
};

/** What may be known of a petrol beyond its octane numbers. */
export interface PetrolFacts {
  /** Hydrogen per carbon [-]. */
  readonly hydrogenToCarbon?: number;
  readonly lowerHeatingValueJPerKg?: number;
  readonly latentHeatJPerKg?: number;
  readonly densityKgPerM3?: number;
}

/**
 * Petrol without alcohol and with given octane numbers; CH1.87, 43.4 MJ/kg, 745 kg/m3 and 350 kJ/kg unless known better.
 *
 * @param researchOctane RON [-]
 * @param motorOctane MON [-]
 * @param facts what is known better [-, J/kg, kg/m3]
 * @returns a {@link Fuel}
 * Source: Heywood (1988) table D.4 (composition, latent heat; from memory); heating value and density typical of road
 * petrol, EN 228 allows 720 to 775 kg/m3.
 */
export const petrol = (researchOctane: number, motorOctane: number, facts: PetrolFacts = {}): Fuel => {
  const atoms = { hydrogenToCarbon: facts.hydrogenToCarbon ?? 1.87, oxygenToCarbon: 0 };
  return {
    name: `petrol RON ${researchOctane}`,
    ...atoms,
    stoichiometricAirFuelRatio: stoichiometricAirFuelRatioOf(atoms),
    lowerHeatingValueJPerKg: facts.lowerHeatingValueJPerKg ?? 43.4e6,
    latentHeatJPerKg: facts.latentHeatJPerKg ?? 350e3,
    densityKgPerM3: facts.densityKgPerM3 ?? 745,
    researchOctane,
    motorOctane,
    molarMassKgPerMol: PETROL_CARBON * fuelMolarMassPerCarbonKgPerMol(atoms),
    vapourMolPerKg: petrolVapour(atoms.hydrogenToCarbon),
  };
};

/**
 * RON less MON of road petrol without alcohol, with one standard deviation [-]. Source: EN 228 (95 and 85) and pump
 * surveys of regular to premium, 8 to 11 (from memory).
 */
export const PETROL_SENSITIVITY = { usual: 9.5, spread: 1.2 } as const;

/** RON and MON [-]. */
export interface OctaneNumbers {
  readonly researchOctane: number;
  readonly motorOctane: number;
}

/**
 * RON and MON [-] from the anti-knock index AKI = (RON + MON) / 2 [-] and the sensitivity RON - MON [-].
 * Source: ASTM D4814 (definition of the index).
 */
export const octaneFromAntiKnockIndex = (
  antiKnock: number,
  sensitivity: number = PETROL_SENSITIVITY.usual,
): OctaneNumbers => ({
  researchOctane: antiKnock + sensitivity / 2,
  motorOctane: antiKnock - sensitivity / 2,
});

/**
 * Petrol sold by anti-knock index, (RON + MON) / 2 [-].
 *
 * @param antiKnock AKI [-]
 * @param sensitivity RON less MON [-], 8 to 11 for road petrol
 * @returns a {@link Fuel}
 * Source: ASTM D4814 (definition of the index); usual sensitivity {@link PETROL_SENSITIVITY}.
 */
export const petrolByAntiKnockIndex = (antiKnock: number, sensitivity: number = PETROL_SENSITIVITY.usual): Fuel => {
  const { researchOctane, motorOctane } = octaneFromAntiKnockIndex(antiKnock, sensitivity);
  return { ...petrol(researchOctane, motorOctane), name: `petrol AKI ${antiKnock}` };
};

/** Anti-knock index [-], (RON + MON) / 2. Source: ASTM D4814. */
export const antiKnockIndex = (fuel: Fuel): number => (fuel.researchOctane + fuel.motorOctane) / 2;

/** Energy per mass of stoichiometric air [J/kg air]: what a litre of air can burn. Definition. */
export const energyPerAirJPerKg = (fuel: Fuel): number =>
  fuel.lowerHeatingValueJPerKg / fuel.stoichiometricAirFuelRatio;
