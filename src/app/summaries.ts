/** Records of the garage in the shapes that shells show. */
import type { BuildRecord, CarRecord } from '../garage/index.ts';
import type { BuildSummary, CarSummary } from './api.ts';

export const carSummary = ({ id, name, note, demo, builds, runs, currentBuildId }: CarRecord): CarSummary => ({
  id,
  name,
  note,
  demo,
  builds,
  runs,
  currentBuildId,
});

export const buildSummary = ({
  id,
  carId,
  label,
  created,
  parentId,
  planned,
  contentHash,
}: BuildRecord): BuildSummary => ({
  id,
  carId,
  label,
  createdAt: created,
  parentId,
  planned,
  contentHash,
});
