/**
 * Species data: NASA seven-term polynomials.
 *
 * Source: GRI-Mech 3.0 thermodynamic data (Smith et al., 1999; public), the `thermo30` file. cp/R = a1 + a2 T + a3 T2 +
 * a4 T3 + a5 T4; h/RT adds a6/T; s/R adds a7. Low set 200 (N2, Ar: 300) to 1000 K, high set 1000 to 3500 K.
 * Atomic masses: IUPAC 2021 abridged.
 */

/** Species of air and burned gas. */
export type Species = 'N2' | 'O2' | 'Ar' | 'CO2' | 'H2O' | 'CO' | 'H2';

/** Atomic masses [kg/mol]. Source: IUPAC abridged standard atomic weights 2021. */
export const ATOMIC_MASS_KG_PER_MOL = { C: 12.011e-3, H: 1.008e-3, O: 15.999e-3, N: 14.007e-3, Ar: 39.95e-3 } as const;
const A = ATOMIC_MASS_KG_PER_MOL;

/** Molar gas constant [J/(mol K)], exact since 2019. Source: CODATA 2018. */
export const MOLAR_GAS_CONSTANT_J_PER_MOL_K = 8.31446261815324;

/** Data of one species. */
export interface SpeciesData {
  readonly molarMassKgPerMol: number;
  /** a1..a7 below 1000 K. */
  readonly low: readonly number[];
  /** a1..a7 above 1000 K. */
  readonly high: readonly number[];
}

/** The table: molar mass [kg/mol] and coefficients [-, K^-n]. Source: GRI-Mech 3.0. */
export const SPECIES: Readonly<Record<Species, SpeciesData>> = {
  N2: {
    molarMassKgPerMol: 2 * A.N,
    low: [3.298677, 1.4082404e-3, -3.963222e-6, 5.641515e-9, -2.444854e-12, -1020.8999, 3.950372],
    high: [2.92664, 1.4879768e-3, -5.68476e-7, 1.0097038e-10, -6.753351e-15, -922.7977, 5.980528],
  },
  O2: {
    molarMassKgPerMol: 2 * A.O,
    low: [3.78245636, -2.99673416e-3, 9.84730201e-6, -9.68129509e-9, 3.24372837e-12, -1063.94356, 3.65767573],
    high: [3.28253784, 1.48308754e-3, -7.57966669e-7, 2.09470555e-10, -2.16717794e-14, -1088.45772, 5.45323129],
  },
  Ar: {
    molarMassKgPerMol: A.Ar,
    low: [2.5, 0, 0, 0, 0, -745.375, 4.366],
    high: [2.5, 0, 0, 0, 0, -745.375, 4.366],
  },
  CO2: {
    molarMassKgPerMol: A.C + 2 * A.O,
    low: [2.35677352, 8.98459677e-3, -7.12356269e-6, 2.45919022e-9, -1.43699548e-13, -48371.9697, 9.90105222],
    high: [3.85746029, 4.41437026e-3, -2.21481404e-6, 5.23490188e-10, -4.72084164e-14, -48759.166, 2.27163806],
  },
  H2O: {
    molarMassKgPerMol: 2 * A.H + A.O,
    low: [4.19864056, -2.0364341e-3, 6.52040211e-6, -5.48797062e-9, 1.77197817e-12, -30293.7267, -0.849032208],
    high: [3.03399249, 2.17691804e-3, -1.64072518e-7, -9.7041987e-11, 1.68200992e-14, -30004.2971, 4.9667701],
  },
  CO: {
    molarMassKgPerMol: A.C + A.O,
    low: [3.57953347, -6.1035368e-4, 1.01681433e-6, 9.07005884e-10, -9.04424499e-13, -14344.086, 3.50840928],
    high: [2.71518561, 2.06252743e-3, -9.98825771e-7, 2.30053008e-10, -2.03647716e-14, -14151.8724, 7.81868772],
  },
  H2: {
    molarMassKgPerMol: 2 * A.H,
    low: [2.34433112, 7.98052075e-3, -1.9478151e-5, 2.01572094e-8, -7.37611761e-12, -917.935173, 0.683010238],
    high: [3.3372792, -4.94024731e-5, 4.99456778e-7, -1.79566394e-10, 2.00255376e-14, -950.158922, -3.20502331],
  },
};

/** All species, in the order of {@link SPECIES}. Source: the table's keys. */
export const ALL_SPECIES = Object.keys(SPECIES) as readonly Species[];
