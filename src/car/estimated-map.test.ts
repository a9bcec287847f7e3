/**
 * Maps estimated from wheel size alone against the maps of the labelled logs (invented, by an independent simulator) and
 * a published laboratory stage: how far off, and whether the stated plus-minus holds it.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import {
  type CompressorMapPoints,
  type CompressorSurface,
  chokeFlowAtSpeed,
  compressorAt,
  efficiencyAt,
  estimatedCompressorSurface,
  estimatedMapScale,
  fitCompressorMap,
  newCompressorState,
  pressureRatioAt,
  quantile,
  surgeFlowAtPressureRatio,
  UNIT_SCALE,
} from '../physics/index.ts';
import { checkBuild, resolveBuild } from './index.ts';

const ROOT = join(import.meta.dirname, '../..');
const LABELS = join(ROOT, '../shared/logs');

/** Plus-minus of an estimated map, as the sheet of a car without one has it. */
const spreads = () => {
  const read = checkBuild(JSON.parse(readFileSync(join(ROOT, 'data/demo/builds/wren-dozen-numbers.json'), 'utf8')));
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const sd = (name: string) =>
    resolveBuild(read.build).inputs.find(({ path }) => path === `turbocharger.${name}`)?.sdSi ?? 0;
  return {
    flow: sd('compressorMap.flow'),
    efficiency: sd('compressorMap.efficiency'),
    speed: sd('compressorMap.speed'),
    surge: sd('compressorMap.surge'),
    /** Of an inducer that nobody typed: src/car/estimates.ts. */
    inducer: 0.05,
  };
};

const normal = (seed: number) => {
  let state = seed >>> 0;
  const uniform = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state + 0.5) / 4294967296;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
};

interface Labelled {
  readonly exducerM: number;
  readonly map: CompressorMapPoints;
}

/** Every told map of the corpus once, with the wheel its owner knows; wheels whose map was swapped for a smaller one left out. */
const labelled = (): Labelled[] => {
  const seen = new Set<string>();
  return ['each', 'mixed'].flatMap((corpus) =>
    readdirSync(join(LABELS, corpus))
      .filter((name) => name.endsWith('.truth.json'))
      .flatMap((name): Labelled[] => {
        const truth = JSON.parse(readFileSync(join(LABELS, corpus, name), 'utf8'));
        const told = truth.told_compressor_map;
        const path = join(
          LABELS,
          corpus,
          'maps',
          String(told.file ?? told)
            .split('/')
            .pop() ?? '',
        );
        const exducerM = truth.told_car.turbo.comp_wheel_mm / 1000;
        if (!existsSync(path) || seen.has(path) || truth.told_car.turbo.comp_choke_kg_s < 80 * exducerM ** 2) return [];
        seen.add(path);
        const label = JSON.parse(readFileSync(path, 'utf8'));
        const lines = label.lines as {
          speed_rpm: number;
          surge_flow: number;
          choke_flow: number;
          flow_pr_eff: [number, number, number][];
        }[];
        return [
          {
            exducerM,
            map: {
              referenceTemperatureK: label.reference.T_K,
              referencePressurePa: 1000 * label.reference.p_kPa,
              lines: lines.map((line) => ({
                shaftSpeedRpm: line.speed_rpm,
                surgeFlow: line.surge_flow,
                chokeFlow: line.choke_flow,
                points: line.flow_pr_eff,
              })),
            },
          },
        ];
      }),
  );
};

/** Places from near surge to 0.9 of choke flow at a pressure ratio. */
const placesOf = (surface: CompressorSurface, ratio: number): number[] => {
  const out = newCompressorState();
  const from = surgeFlowAtPressureRatio(surface, ratio);
  let [low, high] = [from, 1];
  for (let i = 0; i < 50; i++) {
    const middle = 0.5 * (low + high);
    compressorAt(surface, middle, ratio, UNIT_SCALE, out);
    if (middle > 0.9 * out.chokeFlowKgPerS || out.shaftSpeedRpm > surface.highestLineRpm) high = middle;
    else low = middle;
  }
  return [0.1, 0.3, 0.5, 0.7].map((part) => from + (low - from) * part);
};

const ANSWERS = ['efficiency', 'shaft speed', 'choke flow', 'surge flow'] as const;

describe('a map estimated from the wheel size', () => {
  it('lies from labelled maps by no more than it says: median error, and share inside the p10-p90 band', () => {
    if (!existsSync(LABELS)) {
      console.log('not run: estimated maps against the labelled ones (folder ../shared/logs is not there)');
      expect(existsSync(LABELS)).toBe(false);
      return;
    }
    const sd = spreads();
    const family = estimatedCompressorSurface();
    const inside = ANSWERS.map(() => 0);
    const errors = ANSWERS.map((): number[] => []);
    const maps = labelled();
    expect(maps.length).toBeGreaterThan(5);
    const truth = newCompressorState();
    const out = newCompressorState();
    for (const { exducerM, map } of maps) {
      const surface = fitCompressorMap(map);
      const z = normal(7);
      const scales = Array.from({ length: 200 }, () => {
        const { flow, speed, efficiency } = estimatedMapScale(
          exducerM * Math.sqrt(0.55) * Math.exp(sd.inducer * z()),
          exducerM,
        );
        return {
          flow: flow * Math.exp(sd.flow * z()),
          speed: speed * Math.exp(sd.speed * z()),
          efficiency: efficiency * Math.exp(sd.efficiency * z()),
          surge: Math.exp(sd.surge * z()),
        };
      });
      for (const ratio of [1.4, 1.7, 2, 2.3, 2.6]) {
        for (const flow of placesOf(surface, ratio)) {
          compressorAt(surface, flow, ratio, UNIT_SCALE, truth);
          const known = [
            truth.efficiency,
            truth.shaftSpeedRpm,
            truth.chokeFlowKgPerS,
            surgeFlowAtPressureRatio(surface, ratio),
          ];
          const sampled = ANSWERS.map((): number[] => []);
          for (const scale of scales) {
            compressorAt(family, flow, ratio, scale, out);
            [
              out.efficiency,
              out.shaftSpeedRpm,
              out.chokeFlowKgPerS,
              surgeFlowAtPressureRatio(family, ratio, scale),
            ].forEach((value, i) => {
              sampled[i]!.push(value);
            });
          }
          sampled.forEach((values, i) => {
            const at = (share: number) => {
              const found = quantile(values, share);
              return found.ok ? found.value : Number.NaN;
            };
            if (known[i]! >= at(0.1) && known[i]! <= at(0.9)) inside[i]!++;
            errors[i]!.push(Math.abs(at(0.5) / known[i]! - 1));
          });
        }
      }
    }
    const count = errors[0]!.length;
    const table = ANSWERS.map((answer, i) => {
      const sorted = [...errors[i]!].sort((a, b) => a - b);
      return { answer, median: sorted[count >> 1]!, held: inside[i]! / count };
    });
    console.log(
      `estimated maps against ${maps.length} labelled ones: ${table.map(({ answer, median, held }) => `${answer} off ${(100 * median).toFixed(1)} %, ${Math.round(100 * held)} % inside`).join('; ')}`,
    );
    for (const { answer, median, held } of table) {
      expect({ answer, near: median < (answer.endsWith('flow') ? 0.15 : 0.06) }).toEqual({ answer, near: true });
      // 80 of 100 belong inside; a few more or less, since the labelled maps are of few families.
      expect({ answer, holds: held > 0.6 }).toEqual({ answer, holds: true });
    }
  });

  it('gives the pressure ratio of a published laboratory stage at its tip speed within 15 %, of another make of wheel', () => {
    // NASA CC3: exducer 431 mm, inducer 210 mm, 21 789 /min (492 m/s), 4.54 kg/s, total pressure ratio 4.0 in standard air.
    // Source: McKain & Holbrook, NASA CR-204134 (1997), and Skoch et al., NASA TM-107541 (1997); sizes from memory.
    const scale = estimatedMapScale(0.21, 0.431);
    const family = estimatedCompressorSurface();
    const speed = 21789 * Math.sqrt(298 / 288.15);
    const flow = (4.54 * Math.sqrt(288.15 / 298) * 100e3) / 101325;
    const ratio = pressureRatioAt(family, speed, flow, scale);
    expect(ratio / 4).toBeGreaterThan(0.85);
    expect(ratio / 4).toBeLessThan(1.15);
    expect(efficiencyAt(family, speed, flow, scale)).toBeGreaterThan(0.75);
    // It chokes near 4.7 kg/s in its vaned diffuser (from memory); road-car wheels have none, and pass up to half more.
    expect(chokeFlowAtSpeed(family, speed, scale)).toBeGreaterThan(4.54);
    expect(chokeFlowAtSpeed(family, speed, scale)).toBeLessThan(1.6 * 4.7);
  });
});
