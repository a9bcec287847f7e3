#!/usr/bin/env node
// Turns what a label file says the owner knows (`told_car`, `told_compressor_map`, and nothing else) into a build sheet.
// Usage: node scripts/labelled-build.mjs TRUTH.json > BUILD.json
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const q = (value, unit, source = 'data-sheet', more = {}) => ({ value, unit, source, ...more });
const curve = (atUnit, at, unit, values, source = 'data-sheet', more = {}) => ({
  at: { unit: atUnit, values: at },
  values: { unit, values },
  source,
  ...more,
});

/** The compressor map file of the labels as the map of a build sheet. */
export const compressorMapFromLabel = (map) => ({
  referenceTemperatureK: map.reference.T_K,
  referencePressurePa: map.reference.p_kPa * 1000,
  flowUnit: 'kg/s',
  source: 'data-sheet',
  lines: map.lines.map((line) => ({
    shaftSpeedRpm: line.speed_rpm,
    surgeFlow: line.surge_flow,
    chokeFlow: line.choke_flow,
    points: line.flow_pr_eff,
  })),
});

/** Build sheet of the car as its owner would type it in. */
export const buildFromToldCar = (told, map) => {
  const { vehicle, engine, fuel, fuel_system, turbo, cooler, ecu, wmi, electric, volumes_l } = told;
  const layout =
    told.name.includes('five') || told.name.includes('six') || told.name.includes('straight') ? 'inline' : undefined;
  const ethanol = /^E(\d+)$/.exec(fuel.name);
  const driven = { FWD: 'front', RWD: 'rear', AWD: 'all' }[vehicle.layout];
  const rons = /(\d+)\s*RON/.exec(fuel.name);
  return {
    schema: 'boostwright.build/1',
    name: told.name,
    car: told.id,
    note: 'Invented car. Values as its owner knows them.',
    engine: {
      cylinders: engine.cylinders,
      ...(layout ? { layout } : {}),
      displacement: q(engine.displacement_l, 'L'),
      compressionRatio: q(engine.compression_ratio, '1'),
      revLimit: q(engine.limiter_rpm, 'rpm'),
      idleSpeed: q(engine.idle_rpm, 'rpm'),
      shiftSpeed: q(engine.shift_rpm, 'rpm'),
      indicatedEfficiency: q(engine.indicated_eff, '1'),
      frictionPressure: q(engine.fmep_kpa[0], 'kPa'),
      frictionPerSpeed: q(engine.fmep_kpa[1], 'kPa'),
      frictionPerSpeedSquared: q(engine.fmep_kpa[2], 'kPa'),
      inertia: q(engine.inertia_kgm2, 'kg m2', 'estimate', { spread: '8 %' }),
      volumetricEfficiency: curve('rpm', engine.ve_rpm, '1', engine.ve),
    },
    turbocharger: {
      compressorExducer: q(turbo.comp_wheel_mm, 'mm'),
      compressorTipSpeedLimit: q(turbo.comp_tip_speed_max_m_s, 'm/s'),
      shaftSpeedLimit: q(Math.round(map.max_speed_rpm), 'rpm', 'data-sheet', { spread: '2 %' }),
      shaftInertia: q(turbo.inertia_kgm2, 'kg m2'),
      turbineWheel: q(turbo.turbine_wheel_mm, 'mm'),
      turbineEffectiveArea: q(turbo.turbine_area_m2, 'm2'),
      turbineEfficiency: q(turbo.turbine_eff, '1'),
      mechanicalEfficiency: q(turbo.mech_eff, '1'),
      wastegateArea: q(turbo.wastegate_area_m2, 'm2'),
      wastegateCrackPressure: q(turbo.wastegate_crack_kpa, 'kPa gauge'),
      wastegateSpan: q(turbo.wastegate_span_kpa, 'kPa'),
      compressorMap: compressorMapFromLabel(map),
    },
    chargeCooler: {
      effectiveness: curve('kg/s', [0, cooler.ref_flow_kg_s, 2 * cooler.ref_flow_kg_s], '1', [
        cooler.eff0,
        cooler.eff0 - cooler.eff_drop,
        cooler.eff0 - 2 * cooler.eff_drop,
      ]),
      pressureDrop: q(cooler.dp_kpa_at_ref, 'kPa'),
      referenceFlow: q(cooler.ref_flow_kg_s, 'kg/s'),
      coreHeatCapacity: q(cooler.metal_J_K, 'J/K'),
      standingConductance: q(cooler.cold_ua0, 'W/K'),
      // Told per (m/s)^0.55; the sheet wants it at 100 km/h.
      movingConductance: q(Math.round(cooler.cold_ua1 * (100 / 3.6) ** 0.55), 'W/K'),
    },
    intake: {
      filterPressureDrop: q(told.filter_dp_kpa_at_ref, 'kPa'),
      chargeVolume: q(volumes_l.charge, 'L'),
      plenumVolume: q(volumes_l.plenum, 'L'),
      throttleDiameter: q(told.throttle_mm, 'mm'),
      ...(told.bypass_mm > 0 ? { bypassDiameter: q(told.bypass_mm, 'mm') } : { bypassValve: 'none' }),
    },
    exhaust: {
      pressureDrop: q(turbo.exhaust_dp_kpa_at[0], 'kPa'),
      referenceFlow: q(turbo.exhaust_dp_kpa_at[1], 'kg/s'),
      manifoldVolume: q(volumes_l.exhaust_manifold, 'L'),
    },
    fuel: {
      kind: ethanol ? 'ethanol blend' : 'petrol',
      ...(ethanol ? { ethanolContent: q(Number(ethanol[1]), '%') } : {}),
      ...(rons ? { researchOctane: q(Number(rons[1]), '1') } : {}),
      lowerHeatingValue: q(fuel.lhv_MJ_kg, 'MJ/kg'),
      stoichiometricAirFuelRatio: q(fuel.stoich_afr, 'kg/kg'),
      density: q(fuel.density_kg_l, 'kg/L'),
      latentHeat: q(fuel.latent_kJ_kg, 'kJ/kg'),
    },
    fuelSystem: {
      injectorCount: engine.cylinders,
      regulatorReferenced: true,
      injectorFlow: q(fuel_system.injector_rated_cc_min, 'cm3/min'),
      injectorReferencePressure: q(fuel_system.injector_ref_kpa, 'kPa'),
      railPressure: q(fuel_system.base_pressure_kpa, 'kPa'),
      injectorDeadTime: q(fuel_system.dead_time_ms_14V, 'ms'),
      injectorDeadTimePerVolt: q(fuel_system.dead_time_ms_per_V, 'ms/V'),
      pumpFlow: q(fuel_system.pump_rated_lph_300kpa, 'L/h'),
      pumpReferencePressure: q(300, 'kPa'),
      pumpFallPerPressure: q(fuel_system.pump_slope_per_300kpa, '1'),
      pumpVoltageExponent: q(fuel_system.pump_volt_gain, '1'),
    },
    ...(wmi
      ? {
          injection: {
            methanolMassFraction: q(wmi.mix_methanol_mass_frac, '1'),
            nozzleFlow: q(wmi.nozzle_rated_cc_min, 'cm3/min'),
            pumpPressure: q(wmi.pump_kpa, 'kPa gauge'),
            startBoost: q(wmi.on_boost_kpa, 'kPa gauge'),
            evaporatedShare: q(wmi.evap_frac, '1'),
          },
        }
      : {}),
    sensors: {
      airMetering: ecu.air_metering === 'maf' ? 'airflow meter' : 'speed-density',
      speedSource: { driven_wheel: 'driven wheel', undriven_wheel: 'undriven wheel', gearbox: 'gearbox' }[
        told.sensors.speed_source
      ],
      ...(ecu.maf_ceiling_g_s > 0 ? { airflowMeterCeiling: q(ecu.maf_ceiling_g_s, 'g/s') } : {}),
      manifoldPressureCeiling: q(ecu.map_sensor_max_kpa, 'kPa abs'),
    },
    driveline: {
      driven,
      gearRatios: vehicle.gear_ratios,
      finalDrive: q(vehicle.final_drive, '1'),
      efficiency: q(vehicle.driveline_efficiency, '1'),
      drivenInertia: q(vehicle.driven_inertia_kgm2, 'kg m2'),
      inputInertia: q(vehicle.gearbox_input_inertia_kgm2, 'kg m2'),
      undrivenRotatingMass: q(vehicle.undriven_rot_mass_kg, 'kg'),
      clutchTorqueCapacity: q(vehicle.clutch_capacity_Nm, 'N m'),
      shiftTime: q(vehicle.shift_time_s, 's'),
    },
    tyres: {
      size: vehicle.tyre,
      rollingRadius: q(vehicle.tyre_radius_m, 'm'),
      grip: q(vehicle.tyre_mu, '1'),
    },
    body: {
      mass: q(vehicle.mass_kg, 'kg'),
      dragArea: q(vehicle.cda_m2, 'm2'),
      rollingResistance: q(vehicle.crr, '1'),
      drivenAxleLoad: q(vehicle.driven_axle_static_frac, '1'),
      centreOfGravityHeight: q(vehicle.cg_height_over_wheelbase, '1'),
    },
    electrical: {
      alternatorVoltage: q(electric.alt_V, 'V'),
      batteryVoltage: q(electric.batt_V, 'V'),
      batteryResistance: q(electric.batt_ohm, 'ohm'),
    },
    targets: {
      boost: curve('rpm', ecu.boost_rpm, 'kPa abs', ecu.boost_kpa_abs),
      lambda: curve('rpm', ecu.lambda_rpm, 'lambda', ecu.lambda_wot),
    },
  };
};

if (process.argv[1] && fileURLToPath(import.meta.url) === process.argv[1]) {
  const file = process.argv[2];
  if (!file) {
    process.stderr.write(
      'Give the label file to turn into a build sheet: node scripts/labelled-build.mjs TRUTH.json > BUILD.json\n',
    );
    process.exit(2);
  }
  const truth = JSON.parse(readFileSync(file, 'utf8'));
  const map = JSON.parse(readFileSync(join(dirname(file), truth.told_compressor_map), 'utf8'));
  process.stdout.write(`${JSON.stringify(buildFromToldCar(truth.told_car, map), null, 2)}\n`);
}
