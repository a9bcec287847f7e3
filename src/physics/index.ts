/** The physics room: pure laws. Other rooms import from here only. */
export {
  humidityRatioFromVapourPressure,
  moistAir,
  moistAirGasConstantJPerKgK,
  waterSaturationPressurePa,
} from './air.ts';
export { standardAtmosphere } from './atmosphere.ts';
export {
  burnedGas,
  burnedGasMoles,
  combustionCompleteness,
  type FuelAtoms,
  fuelMolarMassPerCarbonKgPerMol,
  stoichiometricAirFuelRatioOf,
} from './burned-gas.ts';
export { clamp } from './clamp.ts';
export {
  compressorPressureRatio,
  correctedMassFlowKgPerS,
  MAP_REFERENCES,
  speedFromCorrectedRpm,
  tipSpeedMPerS,
} from './compressor.ts';
export { type CompressorAtSpeed, compressorAtSpeed, newCompressorAtSpeed, shutOffHead } from './compressor-any-flow.ts';
export type { CompressorMapPoints } from './compressor-line-fit.ts';
export {
  chokeFlowAtSpeed,
  compressorAt,
  efficiencyAt,
  MAP_PLACE,
  type MapScale,
  newCompressorState,
  pressureRatioAt,
  surgeFlowAtPressureRatio,
  surgeFlowAtSpeed,
  UNIT_SCALE,
} from './compressor-map.ts';
export { estimatedCompressorSurface, estimatedMapScale } from './compressor-map-estimate.ts';
export { fitCompressorMap, fittedCompressorMap } from './compressor-map-fit.ts';
export type { MapFit } from './compressor-map-quality.ts';
export { mapAtReference, totalFromStaticOutlet } from './compressor-reference.ts';
export type { CompressorSurface } from './compressor-surface.ts';
export { BOOST_CONTROL_CAUTION, CORRECTION_STANDARDS, powerCorrection } from './correction.ts';
export { linearCurve } from './curves.ts';
export { coastDownTimeS, dragForceN, parseTyreSize, ROAD_LOAD_REFERENCE, rollingResistanceN } from './driveline.ts';
export {
  dryMist,
  type MistLimit,
  mistExposureSPerM2,
  mistLimit,
  newDriedMist,
  settledMist,
} from './evaporation-mist.ts';
export { residualFillingFactor, residualGasMassKg, speedDensityAirFlowKgPerS } from './filling.ts';
export { powerFromMeanPressureW, powerFromTorqueW, pumpingPressurePa } from './friction.ts';
export { type FrictionEngine, frictionByPart, valvePumpingPa } from './friction-parts.ts';
export { type BlendShares, blendName, fuelBlend, octaneBlendingSpread, petrolBlend } from './fuel-blends.ts';
export { ETHANOL, type Fuel, METHANOL, oxygenMassFraction, PETROL_SENSITIVITY, petrol, TOLUENE } from './fuels.ts';
export {
  DRY_AIR,
  enthalpyJPerKg,
  entropyJPerKgK,
  type Gas,
  gasMixture,
  internalEnergyJPerKg,
  specificHeatJPerKgK,
} from './gas.ts';
export { transferUnits } from './heat-exchanger.ts';
export { WOSCHNI_VELOCITY, woschniCoefficientWPerM2K, woschniGasVelocityMPerS } from './heat-loss.ts';
export { cycleTimeS, injectorDifferentialPa, injectorFlowAtPressureM3PerS, pulseWidthAtDutyS } from './injector.ts';
export { inductionTimeS, knockIntegral } from './knock-delay.ts';
export { inverseDiagonal, leastSquares } from './least-squares.ts';
export { nearestName } from './nearest-name.ts';
export { chokedFlowFunction, circleAreaM2, criticalPressureRatio, nozzleFlowFunction } from './nozzle.ts';
export { sauterMeanDiameterM, sheetVelocityMPerS } from './nozzle-liquid.ts';
export { ottoEfficiency } from './otto-cycle.ts';
export { expectSolved, type Reason, type Solved, solved, unsolved } from './reason.ts';
export { type FallingZero, fallingZero, findRoot } from './roots.ts';
export { MOST_DIMENSIONS, normalQuantile, scrambledSobol } from './sequence.ts';
export {
  cylinderSurfaceM2,
  cylinderVolumeM3,
  cylinderVolumeSlopeM3PerDeg,
  meanPistonSpeedMPerS,
  pistonTravelM,
} from './slider-crank.ts';
export { ATOMIC_MASS_KG_PER_MOL, MOLAR_GAS_CONSTANT_J_PER_MOL_K, SPECIES, type SpeciesData } from './species.ts';
export { normalDistribution, quantile, quantiles } from './statistics.ts';
export {
  EXHAUST_GAS,
  isentropicDrop,
  turbineAreaFromFlowM2,
  turbineAreaFromHousingM2,
  turbineAreaFromPointM2,
  turbineEfficiency,
} from './turbine.ts';
export {
  convert,
  dimensionOf,
  fromSi,
  isUnit,
  STANDARD_GRAVITY_M_PER_S2,
  spreadFromSi,
  toSi,
  type Unit,
  unitsOf,
} from './units.ts';
export {
  finalVolumeFromMassFraction,
  METHANOL_KG_PER_M3,
  massFractionFromFinalVolume,
  massFractionFromVolumesBeforeMixing,
  mixRecipe,
  WATER_KG_PER_M3,
  waterMethanolDensityKgPerM3,
  waterMethanolFreezingPointK,
  waterMethanolHeatingValueJPerKg,
  waterMethanolLatentHeatJPerKg,
} from './water-methanol.ts';
export { waterMethanolSurfaceTensionNPerM, waterMethanolViscosityPaS } from './water-methanol-liquid.ts';
export { methanolMoleFraction, waterMethanolBoilingPointK } from './water-methanol-vapour.ts';
export { wiebeBurned } from './wiebe.ts';
