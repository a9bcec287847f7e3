/** Lift: what a change of parts gains and costs, and which parts to buy for a power. */
import { answered } from '../answers/use-answer.ts';
import { tableStore } from '../parts/Sheet.tsx';
import { useBuild, useBuilds, useFuelOf } from '../state/garage.ts';
import { useStore } from '../state/store.ts';
import { LiftCompare } from './LiftCompare.tsx';
import { LiftSearch } from './LiftSearch.tsx';
import type { Chosen } from './LiftSheet.tsx';

const NONE: readonly never[] = [];

export const Lift = ({ chosen, view }: { chosen: Chosen; view: 'builds' | 'parts' }) => {
  const table = useStore(tableStore);
  const build = answered(useBuild(chosen.buildId));
  const builds = answered(useBuilds(chosen.carId));
  useFuelOf(build);
  return view === 'parts' ? (
    <LiftSearch chosen={chosen} table={table} />
  ) : (
    <LiftCompare chosen={chosen} builds={builds?.builds ?? NONE} table={table} />
  );
};
