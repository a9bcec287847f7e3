/** Rows of the garage file as the records that callers see. */
import type { Build } from '../car/index.ts';
import type { ChannelChoice } from '../logs/index.ts';
import type { BuildRecord, CarRecord, DrivenDate, RunRecord } from './records.ts';

export type Row = Record<string, unknown>;
const flag = (value: unknown): boolean => value === 1;
/** A JSON column. */
export const json = (value: unknown): unknown => (value === null ? null : JSON.parse(value as string));

export const carOf = (row: Row): CarRecord => ({
  id: row.id as string,
  name: row.name as string,
  note: row.note as string,
  demo: flag(row.demo),
  created: row.created as string,
  builds: row.builds as number,
  runs: row.runs as number,
  currentBuildId: row.current as string | null,
});

export const buildOf = (row: Row): BuildRecord => ({
  id: row.id as string,
  carId: row.car as string,
  number: row.number as number,
  label: row.label as string,
  created: row.created as string,
  parentId: row.parent as string | null,
  planned: flag(row.planned),
  sheet: json(row.sheet) as Build,
  contentHash: row.content_hash as string,
});

export const drivenOf = ({ driven_at: at, driven_by: by }: Row): DrivenDate | null =>
  at === null ? null : { at: at as string, by: by as DrivenDate['by'] };

export const runOf = (row: Row): RunRecord => ({
  id: row.id as string,
  carId: row.car as string,
  number: row.number as number,
  buildId: row.build as string,
  fileName: row.file_name as string,
  sha256: row.sha256 as string,
  importedAt: row.imported_at as string,
  driven: drivenOf(row),
  note: row.note as string,
  assumedRateHz: row.assumed_rate_hz as number | null,
  durationS: row.duration_s as number,
  columnSet: row.column_set as string,
  choices: json(row.choices) as readonly ChannelChoice[] | null,
  samples: row.samples as string | null,
  review: json(row.review),
  reviewVersion: row.review_version as string | null,
});

/** Cars with how many builds and runs they have, and the build they are in now. */
export const CARS = `
  SELECT car.*, (SELECT count(*) FROM build WHERE build.car = car.id) AS builds,
         (SELECT count(*) FROM run WHERE run.car = car.id) AS runs,
         (SELECT id FROM build WHERE build.car = car.id AND planned = 0 ORDER BY number DESC LIMIT 1) AS current
    FROM car`;
