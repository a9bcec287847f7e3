/** Labelled logs beside the checkout (an independent simulator's), for tests: labels, owners' builds, the scorer's tables. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { type Car, checkBuild, type ResolvedBuild, resolveBuild } from '../src/car/index.ts';

export const LABELLED = join(import.meta.dirname, '../../shared/logs');

// A plain script without types: loaded by its place, given its shape here.
const { buildFromToldCar } = (await import(
  pathToFileURL(join(import.meta.dirname, '../scripts/labelled-build.mjs')).href
)) as { buildFromToldCar: (told: object, map: object) => object };

/** Folders of labelled logs: one fault or none a log, and clean ones among faulty ones. */
export const LABELLED_SETS = ['each', 'mixed'] as const;

/** What every label file tells; a test adds the labels that it reads. */
export interface Told {
  readonly log: string;
  readonly clean: boolean;
  readonly told_car: object;
  readonly told_compressor_map: string;
}

/** How the log's clock stands to true time. */
export interface ToldClock {
  readonly t0_log_s?: number;
  readonly time_map?: readonly {
    readonly from_s: number;
    readonly to_s: number | null;
    readonly log_minus_true_s: number;
  }[];
}

/** The air of the day, SI. */
export interface ToldAir {
  readonly conditions: { readonly p_amb: number; readonly T_amb: number; readonly rh: number };
}

export interface Truth extends Told, ToldClock {
  readonly faults: readonly { readonly id: string; readonly intervals: readonly (readonly [number, number])[] }[];
  readonly side_effects: Readonly<Record<string, unknown>>;
}

/** Time on the log's clock [s] of a true time [s]. */
export const onLogClock = ({ time_map, t0_log_s }: ToldClock, trueS: number): number => {
  const row = time_map?.find(({ from_s, to_s }) => trueS >= from_s && (to_s === null || trueS < to_s));
  return trueS + (row?.log_minus_true_s ?? t0_log_s ?? 0);
};

export const airOfDay = ({ conditions: { p_amb, T_amb, rh } }: ToldAir) => ({
  ambientPressurePa: p_amb,
  ambientTemperatureK: T_amb,
  relativeHumidity: rh,
});

export type Table = Readonly<Record<string, readonly string[]>>;

/** A dictionary of lists of words out of the scorer's text. */
export const tableFromScorer = (name: string): Table => {
  const text = readFileSync(join(LABELLED, 'score.py'), 'utf8');
  const body = new RegExp(`^${name} = (\\{[\\s\\S]*?\\})\\s*$`, 'm').exec(text)?.[1] ?? '{}';
  return JSON.parse(body.replaceAll("'", '"').replace(/,\s*\}/, '}')) as Table;
};

export const readText = (...path: string[]) => readFileSync(join(LABELLED, ...path), 'utf8');

export const ownersBuild = (folder: string, truth: Told): ResolvedBuild => {
  const map = [join(folder, truth.told_compressor_map), truth.told_compressor_map].find((path) =>
    existsSync(join(LABELLED, path)),
  );
  const checked = checkBuild(buildFromToldCar(truth.told_car, JSON.parse(readText(map ?? ''))));
  if (!checked.ok) throw new Error(`${folder}/${truth.log}: ${JSON.stringify(checked.problems)}`);
  return resolveBuild(checked.build);
};

export const gearingOf = ({ facts, driveline, tyres }: Car) => ({
  rpmPerMPerS: facts.gearRatios.map((ratio) => (ratio * driveline.finalDrive * 30) / (Math.PI * tyres.rollingRadiusM)),
});

export const readTruth = <T extends Told = Truth>(folder: string, file: string): T =>
  JSON.parse(readText(folder, file)) as T;

export const readBytes = (folder: string, { log }: Told): Uint8Array =>
  new Uint8Array(readFileSync(join(LABELLED, folder, log)));

export interface LabelledLog<T extends Told> {
  readonly folder: string;
  /** Folder and label file. */
  readonly name: string;
  readonly truth: T;
  /** The build that its owner would type. */
  readonly resolved: ResolvedBuild;
}

/** Labelled logs in the order of their names, those that `wanted` takes. */
export const labelledLogs = <T extends Told>(
  wanted: (truth: T) => boolean,
  folders: readonly string[] = LABELLED_SETS,
): LabelledLog<T>[] =>
  folders.flatMap((folder) =>
    readdirSync(join(LABELLED, folder))
      .filter((file) => file.endsWith('.truth.json'))
      .sort()
      .flatMap((file): LabelledLog<T>[] => {
        const truth = readTruth<T>(folder, file);
        return wanted(truth)
          ? [{ folder, name: `${folder}/${file}`, truth, resolved: ownersBuild(folder, truth) }]
          : [];
      }),
  );
