/** Labelled logs beside the checkout (an independent simulator's), for tests: labels, owners' builds, the scorer's tables. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { type Car, checkBuild, type ResolvedBuild, resolveBuild } from '../src/car/index.ts';

export const LABELLED = join(import.meta.dirname, '../../shared/logs');

// A plain script without types: loaded by its place, given its shape here.
const { buildFromToldCar } = (await import(
  pathToFileURL(join(import.meta.dirname, '../scripts/labelled-build.mjs')).href
)) as { buildFromToldCar: (told: object, map: object) => object };

export interface Truth {
  readonly log: string;
  readonly clean: boolean;
  readonly faults: readonly { readonly id: string; readonly intervals: readonly (readonly [number, number])[] }[];
  readonly side_effects: Readonly<Record<string, unknown>>;
  readonly told_car: object;
  readonly told_compressor_map: string;
  readonly t0_log_s?: number;
  readonly time_map?: readonly {
    readonly from_s: number;
    readonly to_s: number | null;
    readonly log_minus_true_s: number;
  }[];
}

export type Table = Readonly<Record<string, readonly string[]>>;

/** A dictionary of lists of words out of the scorer's text. */
export const tableFromScorer = (name: string): Table => {
  const text = readFileSync(join(LABELLED, 'score.py'), 'utf8');
  const body = new RegExp(`^${name} = (\\{[\\s\\S]*?\\})\\s*$`, 'm').exec(text)?.[1] ?? '{}';
  return JSON.parse(body.replaceAll("'", '"').replace(/,\s*\}/, '}')) as Table;
};

export const readText = (...path: string[]) => readFileSync(join(LABELLED, ...path), 'utf8');

export const ownersBuild = (folder: string, truth: Truth): ResolvedBuild => {
  const map = [join(folder, truth.told_compressor_map), truth.told_compressor_map].find((path) =>
    existsSync(join(LABELLED, path)),
  );
  const checked = checkBuild(buildFromToldCar(truth.told_car, JSON.parse(readText(map ?? ''))));
  if (!checked.ok) throw new Error(JSON.stringify(checked.problems));
  return resolveBuild(checked.build);
};

export const gearingOf = ({ facts, driveline, tyres }: Car) => ({
  rpmPerMPerS: facts.gearRatios.map((ratio) => (ratio * driveline.finalDrive * 30) / (Math.PI * tyres.rollingRadiusM)),
});

export const readTruth = (folder: string, file: string): Truth => JSON.parse(readText(folder, file)) as Truth;
