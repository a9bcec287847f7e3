/**
 * Confidence against the labels beside the checkout: of findings given 0.9, nine in ten must be right. Every log is looked
 * at with and without its build, as it is and written anew at half the rate with more noise and coarser steps, so that
 * findings near their thresholds come up. What is right is read from the scorer that comes with the logs.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { gearingOf, LABELLED, ownersBuild, readTruth, tableFromScorer } from '../../../tests/labelled-logs.ts';
import { type Log, readLog } from '../../logs/index.ts';
import { asReviewed } from './base-drive.ts';
import { findAll } from './index.ts';

const here = existsSync(join(LABELLED, 'score.py'));
if (!here) console.log('not run: confidence over the labelled logs (no ../shared/logs beside the checkout)');

/** Repeatable bell-shaped numbers: sums of twelve from a linear congruence (Numerical Recipes, "quick and dirty"). */
const bell = (seed: number): (() => number) => {
  let state = seed >>> 0;
  const one = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
  return () => {
    let sum = -6;
    for (let k = 0; k < 12; k++) sum += one();
    return sum;
  };
};

/** Share of its own span by which a fresh reading is shaken. */
const NOISE_SHARE = 0.003;
const DIGITS = 3;

/** The log as text again: every second row, each new reading shaken and told in three digits. */
const writtenWorse = ({ table }: Log, seed: number): Uint8Array => {
  const next = bell(seed);
  const columns = table.columns.map(({ header, unitText, cells }) => {
    const sorted = Float64Array.from(cells.filter(Number.isFinite)).sort();
    const span = (sorted.at(-1) ?? 0) - (sorted[0] ?? 0);
    // Few values, or one that stands at its end, is a state, a count or a ceiling: those carry no noise.
    const steps = new Set(sorted).size;
    const top = sorted.at(-1)!;
    let [last, now] = [Number.NaN, ''];
    const texts: string[] = [];
    let waiting = '';
    for (let row = 0; row < cells.length; row++) {
      const cell = cells[row]!;
      if (Number.isFinite(cell)) {
        if (cell !== last) {
          const shaken = steps < 40 || cell === top || cell === 0 ? cell : cell + NOISE_SHARE * span * next();
          now = Number(Math.min(shaken, top).toPrecision(DIGITS)).toString();
          last = cell;
        }
        waiting = now;
      }
      if (row % 2 === 0) {
        texts.push(waiting);
        waiting = '';
      }
    }
    const name = unitText && !header.includes(unitText) ? `${header} [${unitText}]` : header;
    return { name: `"${name.replaceAll('"', '""')}"`, texts };
  });
  const lines = [['Time (s)', ...columns.map(({ name }) => name)].join(';')];
  for (let k = 0; 2 * k < table.timeS.length; k++)
    lines.push([table.timeS[2 * k]!.toFixed(4), ...columns.map(({ texts }) => texts[k]!)].join(';'));
  return new TextEncoder().encode(lines.join('\n'));
};

const EDGES = [0.5, 0.75, 0.8, 0.85, 0.9, 0.95, 1];
const bins = EDGES.slice(0, -1).map((from, i) => ({ from, to: EDGES[i + 1]!, said: 0, right: 0, all: 0 }));

const count = (confidence: number, right: boolean): void => {
  const bin = bins.find(({ from, to }) => confidence >= from && confidence < to);
  if (!bin) return;
  bin.said += confidence;
  bin.all++;
  if (right) bin.right++;
};

describe('confidence of findings', () => {
  test.runIf(here)(
    'is kept: of those given 0.9, nine in ten are right',
    () => {
      const [accept, kin] = [tableFromScorer('ACCEPT'), tableFromScorer('KIN')];
      const wrong: string[] = [];
      let seed = 1;
      for (const folder of ['each', 'mixed']) {
        for (const file of readdirSync(join(LABELLED, folder)).filter((name) => name.endsWith('.truth.json'))) {
          const truth = readTruth(folder, file);
          const causes = [...truth.faults.map((fault) => fault.id), ...Object.keys(truth.side_effects)];
          const right = new Set(causes.flatMap((id) => accept[id] ?? []).flatMap((id) => [id, ...(kin[id] ?? [])]));
          const build = ownersBuild(folder, truth);
          const gearing = gearingOf(build.car);
          const bytes = readFileSync(join(LABELLED, folder, truth.log));
          const first = readLog(bytes, { gearing });
          if (!first.ok) throw new Error(`${file}: ${first.problem.says}`);
          const worse = readLog(writtenWorse(first.log, seed++), { gearing });
          for (const read of [first, worse]) {
            if (!read.ok) continue;
            for (const known of [build, null]) {
              for (const one of findAll(read.log, known, asReviewed(read.log)).findings) {
                if (one.severity === 'note') continue;
                count(one.confidence, right.has(one.id));
                if (!right.has(one.id))
                  wrong.push(`${file} ${read === first ? '' : 'worse '}${one.id} ${one.confidence}`);
              }
            }
          }
        }
      }
      const table = bins.map(
        ({ from, to, said, right, all }) =>
          `${from}-${to}: said ${(said / Math.max(1, all)).toFixed(3)}, right ${right} of ${all}`,
      );
      console.log(`confidence of findings\n${table.join('\n')}\nwrong: ${wrong.join('; ') || 'none'}`);
      expect(bins.reduce((sum, { all }) => sum + all, 0)).toBeGreaterThan(200);
      for (const { said, right, all } of bins) {
        // A bin's share of right ones may lie under what was said by two standard errors.
        const share = said / Math.max(1, all);
        if (all >= 5) expect(right / all).toBeGreaterThan(share - 2 * Math.sqrt((share * (1 - share)) / all) - 0.01);
      }
    },
    300_000,
  );
});
