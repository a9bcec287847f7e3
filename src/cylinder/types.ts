/** Shapes of the closed cycle: what goes in, what comes out. Crank angles in degrees after firing top dead centre. */

/** What is constant about one cylinder. */
export interface CylinderSpec {
  readonly boreM: number;
  readonly strokeM: number;
  /** Rod length over crank radius [-]. */
  readonly rodToCrank: number;
  readonly compressionRatio: number;
  /** Intake valve closing, below 0: -130 is 50 deg after bottom dead centre [deg]. */
  readonly intakeClosingDeg: number;
  /** Exhaust valve opening, above 0: 130 is 50 deg before bottom dead centre [deg]. */
  readonly exhaustOpeningDeg: number;
  /** Gas side of head and crown [K]. */
  readonly chamberWallK: number;
  /** Gas side of the liner [K]. */
  readonly linerWallK: number;
  /** Factor on Woschni's heat-transfer coefficient [-]. */
  readonly wallHeatFactor: number;
  /** Factor on the heat that the exhaust port takes [-]. */
  readonly portHeatFactor: number;
  /** Share of the heat that the mixture could set free that a real flame does [-]. */
  readonly combustionEfficiency: number;
  readonly burn: BurnSpec;
}

/** How fast the charge burns. */
export interface BurnSpec {
  /** Spark to 10 % burned at the base state [deg]. */
  readonly developmentDeg: number;
  /** 10 to 90 % burned at the base state [deg]. */
  readonly rapidDeg: number;
  /** Share that burns by a second, slower Wiebe curve [-]; 0 for a single one. */
  readonly slowShare: number;
  /** Duration of the slow curve over that of the first [-], 1 or more. */
  readonly slowStretch: number;
}

/** The part of a fuel that the cycle asks for; a fuel of the laws' room is one. Liquids injected with it are blended in. */
export interface CycleFuel {
  readonly hydrogenToCarbon: number;
  readonly oxygenToCarbon: number;
  readonly stoichiometricAirFuelRatio: number;
  readonly lowerHeatingValueJPerKg: number;
  readonly latentHeatJPerKg: number;
  readonly molarMassKgPerMol: number;
  readonly researchOctane: number;
}

/** What is in the cylinder when the intake valve has closed. */
export interface CycleCharge {
  readonly engineSpeedRpm: number;
  /** Dry air trapped in one cylinder [kg]. */
  readonly airKg: number;
  /** Of the mixture at closing, what has evaporated by then counted [K]. */
  readonly temperatureK: number;
  /** Burned gas of the cycle before, over all of the charge [kg/kg]. */
  readonly residualFraction: number;
  readonly lambda: number;
  readonly fuel: CycleFuel;
  /** Humidity and injected water over dry air [kg/kg]. */
  readonly waterPerAir: number;
  /** Heat that liquids still take up between closing and spark, over dry air [J/kg]. */
  readonly evaporationJPerKgAir: number;
  /** In the exhaust port [Pa]. */
  readonly exhaustPressurePa: number;
}

/** What is set. */
export interface CycleSetting {
  /** [deg before top dead centre]. */
  readonly sparkAdvanceDeg: number;
}

/** The cycle in numbers; reused between calls. Heats and works per cylinder and cycle. */
export interface CycleOut {
  /** Charge: air, fuel, water, residual gas [kg]. */
  massKg: number;
  /** Lower heating value of the trapped fuel [J]. */
  fuelHeatJ: number;
  /** What of it was set free before the exhaust valve opened [J]: less for rich mixtures, late burning and quenching. */
  heatReleasedJ: number;
  /** From intake closing to exhaust opening [J]. */
  closedWorkJ: number;
  /** Over compression and expansion stroke [J]. */
  grossWorkJ: number;
  /** Gross work over swept volume [Pa]. */
  grossMeanPressurePa: number;
  /** To the walls while the valves are shut [J]. */
  wallHeatJ: number;
  /** To the walls while the exhaust leaves the cylinder [J]. */
  exhaustStrokeHeatJ: number;
  closingPressurePa: number;
  peakPressurePa: number;
  peakPressureDeg: number;
  /** Spark to 10 % and 10 to 90 % [deg]. */
  developmentDeg: number;
  rapidDeg: number;
  /** 50 % burned [deg]. */
  halfBurnedDeg: number;
  burnEndDeg: number;
  /** Share burned when the exhaust valve opens [-]. */
  burnedAtOpening: number;
  openingPressurePa: number;
  openingTemperatureK: number;
  /** Highest temperature of the burned zone and of the unburned one [K]. */
  peakBurnedK: number;
  peakUnburnedK: number;
  /** To the exhaust port [J]. */
  portHeatJ: number;
  /** Mean over the mass that leaves the cylinder, at the valve [K]. */
  valveTemperatureK: number;
  /** The same after the port [K]. */
  exhaustTemperatureK: number;
  /** Enthalpy of the exhaust after the port, over burned gas at 298.15 K [J]. */
  exhaustEnthalpyJ: number;
  /** Livengood-Wu integral with the fuel's octane number until 95 % are burned [-]; only its ratio to another means anything. */
  knockIntegral: number;
  /** What the energy balance misses, over the fuel's heat [-]. */
  energyResidual: number;
}

/** An empty {@link CycleOut} [J, Pa, K, deg, kg, -]. */
export const newCycleOut = (): CycleOut => ({
  massKg: 0,
  fuelHeatJ: 0,
  heatReleasedJ: 0,
  closedWorkJ: 0,
  grossWorkJ: 0,
  grossMeanPressurePa: 0,
  wallHeatJ: 0,
  exhaustStrokeHeatJ: 0,
  closingPressurePa: 0,
  peakPressurePa: 0,
  peakPressureDeg: 0,
  developmentDeg: 0,
  rapidDeg: 0,
  halfBurnedDeg: 0,
  burnEndDeg: 0,
  burnedAtOpening: 0,
  openingPressurePa: 0,
  openingTemperatureK: 0,
  peakBurnedK: 0,
  peakUnburnedK: 0,
  portHeatJ: 0,
  valveTemperatureK: 0,
  exhaustTemperatureK: 0,
  exhaustEnthalpyJ: 0,
  knockIntegral: 0,
  energyResidual: 0,
});
