/**
 * Reads every labelled log beside the checkout (../shared/logs: invented logs by an independent simulator) and compares
 * columns, units, pulls and gears with their truth files. Not run, and said so, where the logs are absent.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { readLog } from './read-log.ts';
import { quantileOf, sliceOf } from './sampling.ts';
import type { ChannelName, Log } from './types.ts';
import { readUnitText } from './unit-text.ts';

const FOLDER = fileURLToPath(new URL('../../../shared/logs/', import.meta.url));
const isPresent = existsSync(FOLDER);

interface TruthPart {
  t_start: number;
  t_end: number;
  gear: number;
  curve: Record<string, number[]>;
}
interface Truth {
  log: string;
  columns: { id: string; header: string; unit: string; rate_hz: number }[];
  pulls: TruthPart[];
  shifts: { t_start: number; t_end: number; full_throttle: boolean }[];
  faults: { id: string }[];
  side_effects: Record<string, unknown>;
  t0_log_s: number;
  time_map: { from_s: number; to_s: number | null; log_minus_true_s: number }[];
  time_faults: { gaps: unknown[]; duplicate_rows: number; clock_step: [number, number] | null };
  conditions: { p_amb: number };
  file: { rows: number };
  style: { truncated: boolean; delim: string; decimal: string; encoding: string; time: string };
  told_car: { vehicle: { gear_ratios: number[]; final_drive: number; tyre_radius_m: number } };
}

/** Truth ids and the channels that they are. A column whose name says ambient may be the ambient temperature. */
const CHANNEL_OF: Readonly<Record<string, ChannelName>> = {
  rpm: 'engine-speed',
  map: 'manifold-pressure',
  boost_pre: 'compressor-outlet-pressure',
  boost_tgt: 'manifold-pressure-target',
  emp: 'exhaust-pressure',
  iat: 'charge-temperature',
  t_amb_in: 'intake-temperature',
  t_comp: 'compressor-outlet-temperature',
  tps: 'throttle',
  pedal: 'pedal',
  maf: 'air-flow',
  ign: 'spark-advance',
  ect: 'coolant-temperature',
  egt: 'exhaust-temperature',
  inj_pw: 'injector-pulse',
  inj_duty: 'injector-duty',
  knock_ret: 'knock-retard',
  knock_lvl: 'knock-level',
  knock_cnt: 'knock-count',
  misfire_cnt: 'misfire-count',
  batt: 'battery-voltage',
  wmi_flow: 'injection-flow',
  ltft: 'fuel-trim-long',
  stft: 'fuel-trim',
  turbo_speed: 'shaft-speed',
  speed: 'vehicle-speed',
  speed_driven: 'wheel-speed-driven',
  speed_undriven: 'wheel-speed-undriven',
  speed_gps: 'satellite-speed',
  lambda: 'lambda',
  lambda_tgt: 'lambda-target',
  baro: 'barometric-pressure',
  oil_p: 'oil-pressure',
  oil_t: 'oil-temperature',
  fuel_press: 'fuel-pressure',
  wg_duty: 'wastegate-duty',
  gear: 'gear',
  clutch_sw: 'clutch-switch',
  accel: 'acceleration',
  ethanol: 'ethanol-content',
};

/** What the curve of a pull says of a channel: key, factor and offset to SI, and how far a sound sensor's median may lie off (gain errors of a few per cent, lag). */
const CURVE_OF: Readonly<Record<string, readonly [key: string, factor: number, offset: number, off: number]>> = {
  map: ['map_kPa', 1e3, 0, 0.12],
  boost_tgt: ['boost_target_kPa', 1e3, 0, 0.06],
  iat: ['charge_temp_C', 1, 273.15, 0.06],
  t_comp: ['comp_out_temp_C', 1, 273.15, 0.12],
  turbo_speed: ['turbo_rpm', 1, 0, 0.2],
  emp: ['exhaust_kPa', 1e3, 0, 0.3],
  maf: ['air_g_s', 1e-3, 0, 0.25],
};

const logTime = (truth: Truth, timeS: number): number => {
  let shiftS = truth.t0_log_s || 0;
  for (const row of truth.time_map)
    if (timeS >= row.from_s && (row.to_s === null || timeS < row.to_s)) shiftS = row.log_minus_true_s;
  return timeS + shiftS;
};

/** Single-gear stretches joined over full-throttle shifts, as the scorer beside the logs joins them. */
const wholePulls = (truth: Truth): { startS: number; endS: number; gears: number[] }[] => {
  const out: { startS: number; endS: number; gears: number[] }[] = [];
  for (const part of [...truth.pulls].sort((a, b) => a.t_start - b.t_start)) {
    const last = out[out.length - 1];
    const isJoined = truth.shifts.some(
      (shift) =>
        shift.full_throttle &&
        last &&
        Math.abs(shift.t_start - last.endS) < 0.3 &&
        Math.abs(shift.t_end - part.t_start) < 0.8,
    );
    if (last && isJoined) {
      last.endS = part.t_end;
      last.gears.push(part.gear);
    } else out.push({ startS: part.t_start, endS: part.t_end, gears: [part.gear] });
  }
  return out;
};

const tally = {
  columns: 0,
  named: 0,
  units: 0,
  rates: 0,
  pulls: 0,
  found: 0,
  extra: 0,
  gears: 0,
  edgesS: [] as number[],
  values: 0,
  valuesRight: 0,
  barometers: 0,
  barometersRight: 0,
};

const compareColumns = (truth: Truth, log: Log): void => {
  const disturbed = truth.faults.length > 0;
  for (const column of truth.columns) {
    tally.columns++;
    const channel = log.channels.find(({ column: header }) => header === column.header);
    const wanted = CHANNEL_OF[column.id];
    const isAmbient = channel?.channel === 'ambient-temperature' && /amb/i.test(column.header);
    if (channel?.channel === wanted || isAmbient) tally.named++;
    else console.log(`${truth.log}: ${column.header} read as ${channel?.channel ?? 'nothing'}, is ${wanted}`);
    if (!channel) continue;
    const [said, read] = [readUnitText(column.unit), readUnitText(channel.unit)];
    const sameUnit = !said || (read?.unit === said.unit && Math.abs(read.scale / said.scale - 1) < 1e-9);
    const sameReference = !said?.reference || channel.pressureIs === 'gauge' || said.reference === channel.reference;
    if (sameUnit && sameReference) tally.units++;
    else
      console.log(
        `${truth.log}: ${column.header} is in ${column.unit}, read as ${channel.unit} ${channel.reference ?? ''}`,
      );
    if (Math.abs(Math.log(channel.rateHz / column.rate_hz)) < 0.1) tally.rates++;
    const curve = CURVE_OF[column.id];
    const part = truth.pulls[truth.pulls.length - 1];
    if (!curve || !part || disturbed) continue;
    const [key, factor, offset, off] = curve;
    const seen = quantileOf(sliceOf(channel, logTime(truth, part.t_start), logTime(truth, part.t_end)).values, 0.5);
    const wantedValue = quantileOf(part.curve[key]!, 0.5)! * factor + offset;
    tally.values++;
    if (seen !== null && Math.abs(seen / wantedValue - 1) < off) tally.valuesRight++;
    else console.log(`${truth.log}: ${column.header} reads ${seen} in the last pull, is ${wantedValue}`);
  }
};

const comparePulls = (truth: Truth, log: Log): void => {
  const used = new Set<number>();
  const step = truth.time_faults.clock_step;
  for (const { startS, endS, gears } of wholePulls(truth)) {
    if (step && startS < step[0] && step[0] < endS) continue;
    tally.pulls++;
    const [from, to] = [logTime(truth, startS), logTime(truth, endS)];
    const k = log.pulls.findIndex((pull, i) => {
      const shared = Math.min(to, pull.endS) - Math.max(from, pull.startS);
      return !used.has(i) && shared > 0.5 * (to - from) && shared > 0.5 * (pull.endS - pull.startS);
    });
    if (k < 0) {
      console.log(`${truth.log}: no pull at ${from.toFixed(2)} to ${to.toFixed(2)} s`);
      continue;
    }
    used.add(k);
    tally.found++;
    const pull = log.pulls[k]!;
    tally.edgesS.push(Math.abs(pull.startS - from), Math.abs(pull.endS - to));
    if (pull.gears.join() === gears.join()) tally.gears++;
    else console.log(`${truth.log}: gears ${pull.gears.join()} are ${gears.join()}`);
  }
  if (!step) tally.extra += log.pulls.length - used.size;
};

const folders = isPresent ? ['each', 'mixed'] : [];
const truths = folders.flatMap((folder) =>
  readdirSync(`${FOLDER}${folder}`)
    .filter((name) => name.endsWith('.truth.json'))
    .map((name) => ({ folder, truth: JSON.parse(readFileSync(`${FOLDER}${folder}/${name}`, 'utf8')) as Truth })),
);

describe('labelled logs', () => {
  it('are beside the checkout, or this says that they are not', () => {
    if (!isPresent) console.log('not run: labelled logs (../shared/logs is absent)');
    expect(truths.length > 0).toBe(isPresent);
  });

  it.each(truths.map(({ folder, truth }) => [`${folder}/${truth.log}`, truth] as const))('%s', (path, truth) => {
    const { gear_ratios: ratios, final_drive: final, tyre_radius_m: radiusM } = truth.told_car.vehicle;
    const gearing = { rpmPerMPerS: ratios.map((ratio) => ((ratio * final) / radiusM) * (30 / Math.PI)) };
    const result = readLog(readFileSync(`${FOLDER}${path}`), { gearing });
    if (!result.ok) throw new Error(result.problem.says);
    const { log } = result;
    // How the file was written.
    expect(log.table.dialect).toMatchObject({
      separator: truth.style.delim,
      decimal: truth.style.decimal,
      timeFormat: truth.style.time === 'hms' ? 'clock' : truth.style.time,
    });
    expect(log.table.rows).toBe(truth.file.rows - (truth.style.truncated ? 1 : 0));
    expect(log.table.rowsRefused.length).toBe(truth.style.truncated ? 1 : 0);
    // Faults of the clock, and none where there are none.
    const { gaps, duplicate_rows: duplicates, clock_step: step } = truth.time_faults;
    expect(log.clockFaults.filter(({ kind }) => kind === 'gap').length).toBe(gaps.length);
    const repeated = log.clockFaults
      .filter(({ kind }) => kind === 'duplicate')
      .reduce((sum, { rows }) => sum + rows, 0);
    // The label counts a row that was repeated beyond the end of the file.
    expect(Math.abs(repeated - duplicates)).toBeLessThanOrEqual(1);
    expect(log.clockFaults.filter(({ kind }) => kind === 'step').length).toBe(step ? 1 : 0);
    tally.barometers++;
    if (Math.abs(log.barometricPressurePa - truth.conditions.p_amb) < 1500) tally.barometersRight++;
    compareColumns(truth, log);
    comparePulls(truth, log);
  });

  it.runIf(isPresent)('together meet the bars', () => {
    const edges = [...tally.edgesS].sort((a, b) => a - b);
    const [middle, ninth] = [quantileOf(edges, 0.5)!, quantileOf(edges, 0.9)!];
    // Bars: pull edges within 0.3 s at the median and at the ninth decile; every column named; gears as labelled.
    expect(tally.named / tally.columns).toBeGreaterThanOrEqual(0.99);
    expect(tally.units / tally.columns).toBeGreaterThanOrEqual(0.99);
    expect(tally.valuesRight / tally.values).toBeGreaterThanOrEqual(0.97);
    expect(tally.rates / tally.columns).toBeGreaterThanOrEqual(0.95);
    expect(tally.barometersRight / tally.barometers).toBeGreaterThanOrEqual(0.9);
    expect(tally.found / tally.pulls).toBeGreaterThanOrEqual(0.98);
    expect(tally.extra).toBeLessThanOrEqual(1);
    expect(tally.gears / tally.found).toBeGreaterThanOrEqual(0.98);
    expect(middle).toBeLessThan(0.05);
    expect(ninth).toBeLessThan(0.15);
  });

  afterAll(() => {
    if (!isPresent) return;
    const { edgesS, ...rest } = tally;
    console.log(
      'labelled logs:',
      JSON.stringify({ ...rest, edgeMedianS: quantileOf(edgesS, 0.5), edgeNinthDecileS: quantileOf(edgesS, 0.9) }),
    );
  });
});
