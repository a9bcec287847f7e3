/** Two builds of the car, part by part: before thin, after heavy, both predicted, against what each part carries. */
import { useId, useMemo } from 'react';
import type { BuildSummary } from '../../src/app/api.ts';
import type { LiftComparisonView } from '../../src/app/lift-api.ts';
import type { PartLift } from '../../src/lift/types.ts';
import { fetchLift } from '../answers/lift-client.ts';
import { useAnswer } from '../answers/use-answer.ts';
import { edgeCursor } from '../charts/edge.ts';
import { LEDGER_BAR, powerEdge, powerScale } from '../charts/ledger.ts';
import { pairBar, pairLimit } from '../charts/lift.ts';
import { leftInWords } from '../charts/marks.ts';
import { niceTicks, type Scale } from '../charts/scale.ts';
import { path, px } from '../charts/shape.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Icon, Shapes } from '../parts/Shapes.tsx';
import { Await } from '../parts/States.tsx';
import { usePhone } from '../parts/use-media.ts';
import { useSize } from '../parts/use-size.ts';
import { otherBuildStore } from '../state/lift.ts';
import { crankPowerStore } from '../state/position.ts';
import { useStore } from '../state/store.ts';
import { useUnits } from '../state/units.ts';
import { LiftCompareFoot } from './LiftCompareFoot.tsx';
import { type Chosen, LiftSheet } from './LiftSheet.tsx';
import { LiftCompareTable } from './LiftTables.tsx';
import { comparisonEnds, comparisonSentence, drawnParts, givenOutAt } from './lift-data.ts';
import { rowIcon, rowName } from './part-marks.ts';

const ROW = 56;

const BuildSelect = ({
  label,
  value,
  builds,
  choose,
}: {
  label: string;
  value: string;
  builds: readonly BuildSummary[];
  choose: (id: string) => void;
}) => {
  const id = useId();
  return (
    <span className="lift-pick">
      <label htmlFor={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => choose(event.target.value)}>
        {builds.map((build) => (
          <option key={build.id} value={build.id}>
            {build.label}
            {build.planned ? ' (planned)' : ''}
          </option>
        ))}
      </select>
    </span>
  );
};

/** The build to set beside the shown one: its nearest planned child, or what it was made from. */
const usualPair = (shownId: string, builds: readonly BuildSummary[]): { before: string; after: string } | null => {
  const shown = builds.find(({ id }) => id === shownId);
  if (!shown) return null;
  if (shown.planned) {
    const parent = builds.find(({ id }) => id === shown.parentId) ?? builds.find(({ planned }) => !planned);
    if (parent && parent.id !== shownId) return { before: parent.id, after: shownId };
  }
  const plan =
    builds.find(({ planned, parentId }) => planned && parentId === shownId) ?? builds.find(({ id }) => id !== shownId);
  return plan ? { before: shownId, after: plan.id } : null;
};

const PartRow = ({
  row,
  scale,
  ticks,
  hairAt,
}: {
  row: PartLift;
  scale: Scale;
  ticks: readonly number[];
  hairAt: number;
}) => {
  const units = useUnits();
  const phone = usePhone();
  const { before, after } = row;
  const reading = (band: { p10: number; p50: number; p90: number } | undefined) =>
    band && {
      p10: units.toReading('power', band.p10),
      p50: units.toReading('power', band.p50),
      p90: units.toReading('power', band.p90),
    };
  const limit = after?.powerAtLimitW;
  return (
    <li className="lr">
      <span className="c-n">
        <Icon name={rowIcon(row.part)} />
        <span className="nm">
          <b className="lr-name">{rowName(row.part)}</b>
          <span className="note lr-limit">{row.limit}</span>
        </span>
      </span>
      <span className="c-b">
        <svg viewBox={`0 0 ${LEDGER_BAR.width} ${ROW}`} width={LEDGER_BAR.width} height={ROW} aria-hidden="true">
          <Shapes of={pairBar(before?.utilisation ?? null, after?.utilisation ?? null, ROW)} />
        </svg>
      </span>
      <span className="c-l">
        <b>
          {after
            ? after.utilisation.p50 > 1
              ? leftInWords(after.utilisation)
              : `${leftInWords(after.utilisation)} left`
            : 'not there any more'}
        </b>
        <span className="note">{before ? `before: ${leftInWords(before.utilisation)}` : 'not there before'}</span>
        <span className="note only-phone">
          {limit
            ? `gives out at ${units.write('power', limit.p50)} ${units.label('power')}`
            : 'does not give out in reach'}
        </span>
      </span>
      {!phone && (
        <span className="c-k">
          <svg viewBox={`0 0 ${scale.end + 14} ${ROW}`} width={scale.end + 14} height={ROW} aria-hidden="true">
            <Shapes of={pairLimit(reading(before?.powerAtLimitW), reading(limit), scale, ROW, hairAt, ticks)} />
          </svg>
          <span className="vh">
            {limit
              ? `gives out at ${units.write('power', limit.p50)} ${units.label('power')}`
              : 'does not give out within reach'}
          </span>
        </span>
      )}
      <span className="c-c note">
        {after && after.chanceFirst >= 0.01 ? `first in ${Math.round(100 * after.chanceFirst)} of 100` : ''}
      </span>
    </li>
  );
};

const PowerEdge = ({
  view,
  scale,
  powerW,
  lowestW,
  highestW,
}: {
  view: LiftComparisonView;
  scale: Scale;
  powerW: number;
  lowestW: number;
  highestW: number;
}) => {
  const units = useUnits();
  const height = 96;
  const reading = units.toReading('power', powerW);
  const figure = `${units.write('power', powerW)} ${units.label('power')}`;
  const out = (side: 'before' | 'after') => givenOutAt(view.parts, side, powerW);
  const said = (names: readonly string[]) => (names.length === 0 ? 'nothing' : names.join(', '));
  const width = scale.end + 14;
  const x = scale.at(reading);
  return (
    <div className="lift-edge">
      <p className="eyebrow">
        Given out at {figure}: before {said(out('before'))}; after {said(out('after'))}.
      </p>
      <EdgeSlider
        label="Crank power"
        value={reading}
        lowest={scale.from}
        highest={scale.to}
        graduation={1}
        valueText={`${figure}; given out before: ${said(out('before'))}; after: ${said(out('after'))}`}
        scale={scale}
        move={(to) => crankPowerStore.set(Math.min(highestW, Math.max(lowestW, units.fromReading('power', to))))}
        typedUnit={units.label('power')}
      >
        <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
          <Shapes
            of={[
              ...powerEdge(scale, null, width, height, x, units.label('power')),
              path('hair', `M${px(x)} 0V32`),
              ...edgeCursor(x, 32, 58, figure, undefined, { from: 0, to: width }, 108),
            ]}
          />
        </svg>
      </EdgeSlider>
    </div>
  );
};

const Compared = ({ view }: { view: LiftComparisonView }) => {
  const units = useUnits();
  const phone = usePhone();
  const rows = useMemo(() => drawnParts(view.parts), [view]);
  const [lowestW, highestW] = useMemo(() => comparisonEnds(view), [view]);
  const powerW = Math.min(highestW, Math.max(lowestW, useStore(crankPowerStore) ?? view.powerAtFirstLimitW.after.p50));
  const [column, { width }] = useSize<HTMLDivElement>();
  const scale = useMemo(
    () => powerScale(units.toReading('power', lowestW), units.toReading('power', highestW), Math.max(160, width)),
    [units, lowestW, highestW, width],
  );
  const ticks = niceTicks(scale.from, scale.to, 6);
  return (
    <>
      <p className="lead">{comparisonSentence(view, units)}</p>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1) */}
      <section className="lift-parts" tabIndex={0} aria-label="Parts before and after">
        <div className="lr lcols" aria-hidden="true">
          <span>Part; thin before, heavy after</span>
          <span className="ax">
            <i style={{ left: LEDGER_BAR.full / 2 }}>50</i>
            <i style={{ left: LEDGER_BAR.full }}>
              <b>100 %</b>
            </i>
          </span>
          <span>left of what it carries</span>
          <span ref={column}>Gives out at crank power, {units.label('power')}</span>
          <span />
        </div>
        <ol>
          {rows.map((row) => (
            <PartRow
              key={row.part}
              row={row}
              scale={scale}
              ticks={ticks}
              hairAt={scale.at(units.toReading('power', powerW))}
            />
          ))}
        </ol>
        {!phone && (
          <div className="lr ledge">
            <PowerEdge view={view} scale={scale} powerW={powerW} lowestW={lowestW} highestW={highestW} />
          </div>
        )}
      </section>
      <LiftCompareFoot view={view} />
    </>
  );
};

export const LiftCompare = ({
  chosen,
  builds,
  table,
}: {
  chosen: Chosen;
  builds: readonly BuildSummary[];
  table: boolean;
}) => {
  const others = useStore(otherBuildStore);
  const usual = useMemo(() => usualPair(chosen.buildId, builds), [chosen.buildId, builds]);
  const before = others[`${chosen.buildId} before`] ?? usual?.before ?? null;
  const after = others[`${chosen.buildId} after`] ?? usual?.after ?? null;
  const choose = (side: 'before' | 'after') => (id: string) =>
    otherBuildStore.set({ ...others, [`${chosen.buildId} ${side}`]: id });
  const lift = useAnswer(before && after ? `lift ${before} ${after}` : null, () => fetchLift(before!, after!));
  return (
    <LiftSheet chosen={chosen} view="builds">
      {builds.length > 0 && (!before || !after) ? (
        <section className="ruled">
          <h2>This car has one build only.</h2>
          <p>
            Save a planned build on the build sheet, or find parts under “Parts for a power” and save a set of them as a
            planned build.
          </p>
        </section>
      ) : (
        <>
          {before && after && (
            <div className="picks">
              <BuildSelect label="Before" value={before} builds={builds} choose={choose('before')} />
              <BuildSelect label="After" value={after} builds={builds} choose={choose('after')} />
            </div>
          )}
          <Await
            answer={lift}
            what="Solving both builds in pairs of cars that are alike in everything the builds share. The first time takes some seconds; after that it is kept."
          >
            {(view) => (table ? <LiftCompareTable view={view} /> : <Compared view={view} />)}
          </Await>
        </>
      )}
    </LiftSheet>
  );
};
