/** How columns are called and in which units, as loggers of many kinds write them: general trade words only. */
import type { ChannelName } from '../../logs/index.ts';

export interface Unit {
  /** As it stands in a header; the empty one has none. */
  readonly text: string;
  /** Written number from SI; `outsidePa` for gauge pressures. */
  readonly from: (si: number, outsidePa: number) => number;
  readonly decimals: number;
  readonly reference?: 'gauge' | 'absolute';
}

export interface ColumnKind {
  readonly names: readonly string[];
  readonly units: readonly Unit[];
}

const unit = (text: string, decimals: number, from: Unit['from'], reference?: Unit['reference']): Unit => ({
  text,
  decimals,
  from,
  ...(reference ? { reference } : {}),
});

const RPM = [unit('rpm', 0, (si) => si), unit('1/min', 0, (si) => si), unit('rpm', 1, (si) => si)];
const SPEED = [
  unit('km/h', 1, (si) => 3.6 * si),
  unit('mph', 1, (si) => 2.23694 * si),
  unit('m/s', 2, (si) => si),
  unit('kph', 0, (si) => 3.6 * si),
];
const PERCENT = [unit('%', 1, (si) => 100 * si), unit('%', 0, (si) => 100 * si), unit('%', 2, (si) => 100 * si)];
const TEMPERATURE = [
  unit('°C', 1, (si) => si - 273.15),
  unit('C', 0, (si) => si - 273.15),
  unit('degC', 1, (si) => si - 273.15),
  unit('°F', 1, (si) => (si - 273.15) * 1.8 + 32),
  unit('F', 0, (si) => (si - 273.15) * 1.8 + 32),
];
const COARSE_K = unit('K', 1, (si) => si);
const ABSOLUTE = [
  unit('kPa', 1, (si) => si / 1e3, 'absolute'),
  unit('kPa abs', 0, (si) => si / 1e3, 'absolute'),
  unit('bar', 3, (si) => si / 1e5, 'absolute'),
  unit('mbar', 0, (si) => si / 100, 'absolute'),
  unit('hPa', 0, (si) => si / 100, 'absolute'),
  unit('psia', 2, (si) => si / 6894.76, 'absolute'),
];
const GAUGE = [
  unit('psi', 1, (si, outside) => (si - outside) / 6894.76, 'gauge'),
  unit('psi', 2, (si, outside) => (si - outside) / 6894.76, 'gauge'),
  unit('kPa', 1, (si, outside) => (si - outside) / 1e3, 'gauge'),
  unit('bar', 2, (si, outside) => (si - outside) / 1e5, 'gauge'),
];
/** Senders of oil and fuel: gauge in themselves. */
const SENDER = [
  unit('kPa', 0, (si) => si / 1e3, 'gauge'),
  unit('bar', 2, (si) => si / 1e5, 'gauge'),
  unit('psi', 1, (si) => si / 6894.76, 'gauge'),
];
const COUNT = [unit('', 0, (si) => si)];

export const COLUMNS: Partial<Record<ChannelName, ColumnKind>> = {
  'engine-speed': {
    names: ['Engine Speed', 'RPM', 'Eng RPM', 'Engine RPM', 'Revs', 'N_Engine', 'eng_speed', 'Drehzahl'],
    units: RPM,
  },
  'vehicle-speed': {
    names: ['Vehicle Speed', 'Speed', 'VSS', 'Road Speed', 'veh_spd', 'Car Speed', 'Vehicle Spd'],
    units: SPEED,
  },
  'satellite-speed': { names: ['GPS Speed', 'gps_speed', 'Satellite Speed', 'GNSS Speed'], units: SPEED },
  throttle: {
    names: ['Throttle', 'TPS', 'Throttle Position', 'throttle_pos', 'Throttle Angle', 'Thr Pos'],
    units: PERCENT,
  },
  pedal: {
    names: ['Pedal', 'Accelerator Pedal', 'Accel Pedal Position', 'pedal_pos', 'APP', 'Driver Pedal'],
    units: PERCENT,
  },
  'manifold-pressure': {
    names: [
      'MAP',
      'Manifold Pressure',
      'Manifold Absolute Pressure',
      'Intake Manifold Pressure',
      'man_press',
      'Saugrohrdruck',
    ],
    units: ABSOLUTE,
  },
  'manifold-pressure-target': {
    names: [
      'Boost Target',
      'Target MAP',
      'Desired Manifold Pressure',
      'map_target',
      'Boost Setpoint',
      'Requested Boost',
    ],
    units: ABSOLUTE,
  },
  'barometric-pressure': {
    names: ['Barometric Pressure', 'Baro', 'BARO', 'Ambient Pressure', 'baro_press', 'Atmospheric Pressure'],
    units: ABSOLUTE,
  },
  'compressor-outlet-pressure': {
    names: ['Charge Pipe Pressure', 'Pre Throttle Pressure', 'Compressor Outlet Pressure', 'boost_pipe_press'],
    units: ABSOLUTE,
  },
  'ambient-temperature': {
    names: ['Ambient Temp', 'Outside Temperature', 'Ambient Air Temp', 'amb_temp'],
    units: TEMPERATURE,
  },
  'intake-temperature': {
    names: ['Air Temp Before Turbo', 'Airbox Temp', 'Compressor Inlet Temp', 'temp_pre_compressor', 'Filter Air Temp'],
    units: TEMPERATURE,
  },
  'compressor-outlet-temperature': {
    names: ['Compressor Outlet Temp', 'Temp After Turbo', 'Pre Intercooler Temp', 'comp_out_temp'],
    units: TEMPERATURE,
  },
  'charge-temperature': {
    names: ['Charge Temp', 'IAT', 'Intake Air Temp', 'Manifold Air Temp', 'charge_air_temp', 'Post Intercooler Temp'],
    units: TEMPERATURE,
  },
  'coolant-temperature': {
    names: ['Coolant Temp', 'ECT', 'CLT', 'Engine Coolant Temperature', 'coolant_t', 'Water Temp'],
    units: TEMPERATURE,
  },
  'oil-temperature': { names: ['Oil Temp', 'Engine Oil Temp', 'oil_temp', 'Oil Temperature'], units: TEMPERATURE },
  'oil-pressure': { names: ['Oil Pressure', 'Engine Oil Press', 'oil_press', 'Oil Pres'], units: SENDER },
  'fuel-pressure': { names: ['Fuel Pressure', 'Rail Pressure', 'fuel_press', 'Fuel Pres'], units: SENDER },
  lambda: {
    names: ['Lambda', 'Lambda 1', 'Wideband', 'lambda_b1', 'Lambda Actual'],
    units: [unit('lambda', 3, (si) => si), unit('', 3, (si) => si), unit('λ', 3, (si) => si)],
  },
  'lambda-target': {
    names: ['Lambda Target', 'Target Lambda', 'Lambda Desired', 'lambda_cmd'],
    units: [unit('lambda', 3, (si) => si), unit('', 3, (si) => si)],
  },
  'fuel-trim': { names: ['Short Term Fuel Trim', 'STFT', 'Fuel Trim', 'lambda_corr'], units: PERCENT.slice(0, 1) },
  'air-flow': {
    names: ['MAF', 'Mass Air Flow', 'Air Flow', 'Airflow', 'air_mass', 'Air Mass Flow'],
    units: [
      unit('g/s', 2, (si) => 1e3 * si),
      unit('kg/h', 1, (si) => 3600 * si),
      unit('lb/min', 2, (si) => si * 132.277),
      unit('g/s', 1, (si) => 1e3 * si),
    ],
  },
  'injector-pulse': {
    names: ['Injector Pulse Width', 'Inj PW', 'inj_time', 'Injection Time'],
    units: [unit('ms', 2, (si) => 1e3 * si), unit('ms', 3, (si) => 1e3 * si)],
  },
  'injector-duty': { names: ['Injector Duty', 'Inj Duty Cycle', 'inj_duty', 'IDC'], units: PERCENT.slice(0, 2) },
  'spark-advance': {
    names: ['Ignition Advance', 'Timing', 'Ignition Angle', 'ign_adv', 'Spark Advance', 'Ignition Timing'],
    units: [unit('deg', 1, (si) => si), unit('°', 2, (si) => si), unit('deg BTDC', 1, (si) => si)],
  },
  'knock-retard': {
    names: ['Knock Retard', 'Knock Correction', 'knk_retard', 'Knock Retard Global'],
    units: [unit('deg', 1, (si) => si), unit('°', 2, (si) => -si)],
  },
  'battery-voltage': {
    names: ['Battery Voltage', 'Battery', 'VBAT', 'batt_v', 'Battery Volts'],
    units: [unit('V', 2, (si) => si), unit('V', 1, (si) => si)],
  },
  'exhaust-temperature': { names: ['EGT', 'Exhaust Gas Temp', 'egt_1', 'Exhaust Temperature'], units: TEMPERATURE },
  'exhaust-pressure': {
    names: ['Exhaust Back Pressure', 'Exhaust Manifold Pressure', 'EMAP', 'exh_back_press'],
    units: ABSOLUTE,
  },
  'shaft-speed': {
    names: ['Turbo Speed', 'Turbo Shaft Speed', 'turbo_rpm', 'Turbocharger Speed'],
    units: [unit('rpm', 0, (si) => si), unit('krpm', 2, (si) => si / 1e3)],
  },
  'wastegate-duty': {
    names: ['Wastegate Duty', 'WGDC', 'Boost Control Duty', 'wg_duty', 'Boost Solenoid Duty'],
    units: PERCENT.slice(0, 2),
  },
  'injection-flow': {
    names: ['WMI Flow', 'Meth Flow', 'Water Methanol Flow', 'wmi_flow'],
    units: [unit('cc/min', 0, (si) => 6e7 * si), unit('L/h', 2, (si) => 3.6e6 * si)],
  },
  gear: { names: ['Gear', 'Gear Position', 'gear_pos', 'Current Gear'], units: COUNT },
  acceleration: {
    names: ['Longitudinal Acceleration', 'Long Accel', 'accel_long', 'G Long'],
    units: [unit('g', 3, (si) => si / 9.80665), unit('m/s2', 2, (si) => si), unit('m/s²', 2, (si) => si)],
  },
  'misfire-count': { names: ['Misfire Count', 'Misfires', 'misfire_cnt'], units: COUNT },
};

/** The same quantities where a logger has them against the outside air. */
export const GAUGE_COLUMNS: Partial<Record<ChannelName, ColumnKind>> = {
  'manifold-pressure': { names: ['Boost', 'Boost Pressure', 'Manifold Gauge Pressure', 'boost_press'], units: GAUGE },
  'manifold-pressure-target': {
    names: ['Boost Target', 'Target Boost', 'Desired Boost', 'boost_target'],
    units: GAUGE,
  },
  'exhaust-pressure': {
    names: ['Exhaust Back Pressure', 'Turbine Inlet Pressure', 'exh_press'],
    units: GAUGE.slice(0, 2),
  },
  'compressor-outlet-pressure': { names: ['Charge Pipe Boost', 'Pre Throttle Boost', 'pipe_boost'], units: GAUGE },
};

/** Air-fuel ratio at petrol's scale, whatever the fuel, as controllers write it. */
export const AFR: Unit = unit('AFR', 2, (si) => 14.7 * si);
export const AFR_NAMES = ['AFR', 'Wideband AFR', 'Air Fuel Ratio', 'afr_1'] as const;
export const KELVIN = COARSE_K;
