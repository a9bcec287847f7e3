import { describe, expect, it } from 'vitest';
import { toSi } from '../physics/units.ts';
import { splitHeader } from './header.ts';
import { readUnitText } from './unit-text.ts';
import { guessesByName } from './vocabulary.ts';

describe('units as written', () => {
  // SI values: NIST SP 811 (2008), appendix B, and the exact definitions it lists.
  it.each([
    ['psi', 1, 6894.757],
    ['PSIg', 1, 6894.757],
    ['bar abs', 1, 1e5],
    ['kPa', 1, 1e3],
    ['hPa', 1013.25, 101325],
    ['inHg', 1, 3386.389],
    ['mmHg', 760, 101325],
    ['°F', 212, 373.15],
    ['Â°C', 0, 273.15],
    ['� C', 100, 373.15],
    ['lb/min', 1, 0.00755987],
    ['lbs/min', 1, 0.00755987],
    ['kg/h', 3600, 1],
    ['km/h', 36, 10],
    ['kph', 36, 10],
    ['mph', 1, 0.44704],
    ['g', 1, 9.80665],
    ['m/s²', 1, 1],
    ['cc/min', 60e6, 1],
    ['ml/min', 60e6, 1],
    ['1/min', 1, 1],
    ['U/min', 1, 1],
    ['krpm', 1, 1000],
    ['us', 1e6, 1],
    ['ns', 1e9, 1],
    ['%', 100, 1],
    ['° BTDC', 1, 1],
  ])('%s', (text, written, si) => {
    const unit = readUnitText(text)!;
    const value = toSi(written * unit.scale, unit.unit);
    expect(Math.abs(value / si - 1)).toBeLessThan(1e-5);
  });
  it('reads gauge and absolute in every spelling', () => {
    for (const text of ['psig', 'psi gauge', 'bar(g)', 'bar rel', 'kPag', 'kPa (gauge)'])
      expect(readUnitText(text)?.reference).toBe('gauge');
    for (const text of ['psia', 'psi abs', 'bar(a)', 'kPa absolute', 'kPaa'])
      expect(readUnitText(text)?.reference).toBe('absolute');
    for (const text of ['psi', 'bar', 'kPa', 'inHg', 'mmHg']) expect(readUnitText(text)?.reference).toBe(undefined);
  });
  it('knows no unit in words that are none', () => {
    for (const text of ['', 'Bank 1', 'raw', 'toString', 'constructor', '-']) expect(readUnitText(text)).toBe(null);
  });
});

describe('headers', () => {
  it.each([
    ['Engine Speed (rpm)', ['engine', 'speed'], 'rpm'],
    ['Coolant [°C]', ['coolant'], '°C'],
    ['EngineSpeed', ['engine', 'speed'], ''],
    ['MAPSensor_kPa', ['map', 'sensor'], 'kPa'],
    ['boost_psi', ['boost'], 'psi'],
    ['ect_f', ['ect'], 'degF'],
    ['knock_v', ['knock'], 'V'],
    ['v_car', ['v', 'car'], ''],
    ['Speed, km/h', ['speed'], 'km/h'],
    ['Speed km/h', ['speed'], 'km/h'],
    ['MAF g/s', ['maf'], 'g/s'],
    ['Wheel L/R', ['wheel', 'l', 'r'], ''],
    ['Lambda (Bank 1)', ['lambda', 'bank', '1'], ''],
  ])('%s', (header, words, unitText) => {
    expect(splitHeader(header)).toMatchObject({ words, unitText });
  });
});

describe('names (common trade words, no source)', () => {
  it.each([
    ['Motordrehzahl', 'engine-speed'],
    ['Saugrohrdruck', 'manifold-pressure'],
    ['Kühlmitteltemperatur', 'coolant-temperature'],
    ['pipe_boost', 'compressor-outlet-pressure'],
    ['Tach', 'engine-speed'],
    ['Turbine Speed', 'shaft-speed'],
    ['Road Spd', 'vehicle-speed'],
    ['GPS Velocity', 'satellite-speed'],
    ['Non Driven Wheel Speed', 'wheel-speed-undriven'],
    ['Accelerator Position', 'pedal'],
    ['Absolute Throttle Position', 'throttle'],
    ['Ladedruck Soll', 'manifold-pressure-target'],
    ['Desired MAP', 'manifold-pressure-target'],
    ['Plenum Pressure', 'manifold-pressure'],
    ['Post Intercooler Boost', 'compressor-outlet-pressure'],
    ['Atmospheric Pressure', 'barometric-pressure'],
    ['Post IC Temp', 'charge-temperature'],
    ['Pre Intercooler Temp', 'compressor-outlet-temperature'],
    ['Compressor Inlet Temp', 'intake-temperature'],
    ['Outside Air Temp', 'ambient-temperature'],
    ['Kühlmittel Temperatur', 'coolant-temperature'],
    ['EOT', 'oil-temperature'],
    ['Fuel Rail Press', 'fuel-pressure'],
    ['Wideband O2', 'lambda'],
    ['Commanded AFR', 'lambda-target'],
    ['LTFT1', 'fuel-trim-long'],
    ['Short Term Fuel Trim', 'fuel-trim'],
    ['Luftmasse', 'air-flow'],
    ['IDC', 'injector-duty'],
    ['Inj PW', 'injector-pulse'],
    ['Zündwinkel', 'spark-advance'],
    ['Ign Retard Knock', 'knock-retard'],
    ['Knock Sum Count', 'knock-count'],
    ['Misfires Cyl 3', 'misfire-count'],
    ['Ubatt', 'battery-voltage'],
    ['Pre Turbine Temp', 'exhaust-temperature'],
    ['EMAP', 'exhaust-pressure'],
    ['WGDC', 'wastegate-duty'],
    ['Meth Flow', 'injection-flow'],
    ['Flex Fuel Ethanol', 'ethanol-content'],
    ['Long Accel', 'acceleration'],
  ] as const)('%s is %s', (name, channel) => {
    expect(guessesByName(splitHeader(name).words)[0]?.channel).toBe(channel);
  });
  it.each([
    'Boost Error',
    'Cam Advance',
    'Injector Dead Time',
    'Idle Target RPM',
    'Lateral G',
    'Fuel Level',
    'Torque',
    'Brake Pressure',
    'Gear Ratio',
    'Input Shaft Speed',
    'AFR Error',
    'Map Switch',
    'Gearbox Oil Temp',
    'Turbo Inlet Pressure',
  ])('%s is none of the channels', (name) => {
    const [guess] = guessesByName(splitHeader(name).words);
    expect(guess?.channel ?? null).toBe(null);
  });
});
